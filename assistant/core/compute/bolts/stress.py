"""What a torque does to a bolt: the force in it, the most that it bears, and whether a torque can be meant. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from math import isclose, pi, sqrt

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.lookup import row_where, rows_where
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.compute.bolts.threads import THREAD, Thread, read_thread
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import SYMBOLS, Amount, Kind, write_amount

USUAL_FRICTION = 0.12
"""Friction of thread and face, lightly oiled or as delivered: the middle row of the printed tables."""

_OF_YIELD = 0.9
SCATTER = "a torque wrench leaves a quarter to a third of scatter in the force (common practice, no source)"


def usual_friction() -> Amount:
    """Return the friction that is reckoned with where none is told [count]."""
    return amount_of(USUAL_FRICTION, "one")


LEAST_SHARE, NEAR_SHARE = 0.08, 0.8
"""Shares of the most that a bolt bears: below the first no maker's torque lies, for a drain plug only holds a washer;
above the second it is near, and a caution is due. Above all of it the bolt yields. Common practice, no source."""


def preload(torque: Amount, thread: str, state: str, threads: Sequence[Row], nut_factors: Sequence[Row]) -> Result:
    """Return the force that a torque makes in a bolt, F = T/(K·D).

    Parameters
    ----------
    torque : Amount
        Torque at the bolt [torque], above zero.
    thread : str
        As `read_thread` takes it.
    state : str
        Of the thread: `dry`, `zinc-plated` or `oiled`.

    References
    ----------
    Short form of bolted-joint handbooks (Shigley); K by a fastener vendor's chart.
    """
    read = read_thread(thread, threads)
    row = row_where(nut_factors, state=state)
    if row is None:
        raise ReadingError(f"{state!r} is not in the table of nut factors", say="I do not know that thread state.")
    factor = float(row["factor"])
    force = real(torque, "newton_metre") / (factor * read.diameter)
    return Result(
        value=amount_of(force, "kilonewton"),
        because="It is the torque, divided by the nut factor and the diameter.",
        inputs=(("torque", torque), ("thread", str(read)), ("state", state)),
        assumptions=(f"the nut factor is {factor:g} (a vendor's chart)", SCATTER),
        cautions=(
            "Oil on a thread that is meant to be dry makes the same torque pull a third harder. "
            "Never change a torque yourself.",
        ),
        uncertainty=amount_of(force / 3, "kilonewton"),
        source="T = K·D·F",
    )


def torque_for(force: Amount, thread: str, state: str, threads: Sequence[Row], nut_factors: Sequence[Row]) -> Result:
    """Return the torque that makes a force in a bolt, T = K·D·F. Parameters and errors are those of `preload`."""
    one = Amount(Decimal(1), "newton_metre", Kind.TORQUE)
    base = preload(one, thread, state, threads, nut_factors)
    return Result(
        value=amount_of(real(force, "kilonewton") / real(base.value, "kilonewton"), "newton_metre"),
        because="It is the force, times the nut factor and the diameter.",
        inputs=(("force", force), *base.inputs[1:]),
        assumptions=base.assumptions,
        also="With that torque, the force may be a third more or less.",
        cautions=("It is an estimate. The service manual's torque goes before it.",),
        source=base.source,
    )


def _most(thread: Thread, row: Row, yield_mpa: float, friction: float) -> tuple[float, float]:
    """Return force [newton] and torque [newton metre] at 90 % of the yield strength."""
    flank, pitch = thread.flank_diameter, thread.pitch
    twist = 1.5 * flank / thread.stress_diameter * (pitch / (pi * flank) + 1.155 * friction)
    force = thread.stress_area * _OF_YIELD * yield_mpa / sqrt(1 + 3 * twist**2)
    bearing = (float(row["face"]) + float(row["hole"])) / 2
    return force, force * (0.16 * pitch + 0.58 * flank * friction + bearing / 2 * friction) / 1000


def _bolt(thread: Thread, strength: str, threads: Sequence[Row], property_classes: Sequence[Row]) -> tuple[Row, Row]:
    """Return the rows of a bolt's bearing face, by its diameter, and of its strength; ReadingError without one."""
    if (strength[0].isdigit() and thread.inch) or (strength.startswith("SAE") and not thread.inch):
        raise ReadingError(
            f"{thread} and {strength} do not go together: inch bolts have SAE grades, metric ones 4.6 to 12.9",
            say="That class and that thread do not go together. Look at the head.",
        )
    series = "UNC" if thread.inch else "metric"
    sizes = rows_where(threads, series=series)
    face = next((row for row in sizes if isclose(float(row["diameter"]), thread.diameter) and row["face"]), None)
    steels = [
        row for row in rows_where(property_classes, **{"class": strength}) if float(row["over"]) < thread.diameter
    ]
    if face is None or not steels:
        raise ReadingError(
            f"{thread} of class {strength} is not in the table: M3 to M24 and 1/4 to 1 inch are",
            say="I can only judge bolts from M three to M twenty-four, or to one inch.",
        )
    return face, steels[-1]


def greatest_torque(
    thread: str, strength: str, friction: Amount, threads: Sequence[Row], property_classes: Sequence[Row]
) -> Result:
    """Return the torque that loads a bolt to 90 % of its yield strength, with the force in it under `force`.

    Parameters
    ----------
    thread : str
        Metric of 3 to 24 mm, or UNC or UNF of 1/4 to 1 inch.
    strength : str
        What stands on the head: a property class such as `8.8`, `A2-70`, or an SAE grade.
    friction : Amount
        Of thread and face alike [count], 0.04 to 0.3.

    References
    ----------
    VDI 2230 part 1 (2003).
    """
    read = read_thread(thread, threads)
    row, steel = _bolt(read, strength, threads, property_classes)
    force, torque = _most(read, row, float(steel["yield_mpa"]), float(friction.magnitude))
    return Result(
        value=amount_of(torque, "newton_metre"),
        because="It loads the bolt to nine tenths of where it begins to stretch for good.",
        inputs=(("thread", str(read)), ("strength", strength), ("friction", friction)),
        more=(("force", amount_of(force / 1000, "kilonewton")),),
        assumptions=("thread and face rub alike", "a hexagon screw in a through hole of the middle fit"),
        cautions=("It is a limit, not the torque to use. The service manual has that.",),
        source="VDI 2230 part 1, 90 % of yield",
    )


def plausible(
    torque: Amount,
    thread: str,
    strength: str,
    friction: Amount,
    threads: Sequence[Row],
    property_classes: Sequence[Row],
) -> Finding:
    """Return whether a torque can be meant for a bolt; the most that it bears is `most`. Near it a caution is added.

    Raises
    ------
    ReadingError
        Where the bolt would yield, or the torque is far too small; it names the unit or the class that would fit.
    """
    most = greatest_torque(thread, strength, friction, threads, property_classes)
    limit, given = real(most.value, "newton_metre"), real(torque, "newton_metre")
    share = given / limit
    if not LEAST_SHARE <= share <= 1:
        hint = _stronger(torque, thread, friction, threads, property_classes) + _mixed_up(torque, limit)
        raise ReadingError(
            f"{write_amount(torque)} on {thread} of class {strength} can't be meant: with friction of "
            f"{friction.magnitude} such a bolt bears {limit:.3g} N·m.{hint} Read it again in the service manual",
            say="That torque does not fit that thread. Read it again, with its unit.",
        )
    near = ("It is near the most that such a bolt bears. Make sure of thread, class and torque.",)
    return Finding(
        value=f"It can be: it is {100 * share:.0f} % of the most that such a bolt bears.",
        because="I compared it with the strength of the bolt.",
        inputs=(("torque", torque), ("thread", thread), ("strength", strength), ("friction", friction)),
        more=(("most", most.value),),
        assumptions=(f"friction {friction.magnitude}", *most.assumptions),
        cautions=(
            *(near if share > NEAR_SHARE else ()),
            *(("Aluminium threads bear less. The service manual goes before this.",) if share > 1 / 2 else ()),
        ),
        source=most.source,
    )


def _stronger(
    torque: Amount, thread: str, friction: Amount, threads: Sequence[Row], property_classes: Sequence[Row]
) -> str:
    """Return the weakest of the usual stronger classes that bears a torque, as a hint; empty where none does."""
    inch = bool(read_thread(thread, threads).inch)
    for strength in ("SAE 5", "SAE 8") if inch else ("8.8", "10.9", "12.9"):
        bears = greatest_torque(thread, strength, friction, threads, property_classes)
        share = real(torque, "newton_metre") / real(bears.value, "newton_metre")
        if LEAST_SHARE <= share <= 1:
            return f" A bolt of {strength} would bear it: what stands on its head?"
    return ""


def _mixed_up(torque: Amount, limit: float) -> str:
    """Return the units in which the same number would fit, as a hint; empty where none would."""
    others = ("newton_metre", "foot_pound", "inch_pound", "kilogram_force_metre", "kilogram_force_centimetre")
    fits = [
        SYMBOLS[other]
        for other in others
        if other != torque.unit
        and LEAST_SHARE * limit <= real(Amount(torque.magnitude, other, Kind.TORQUE), "newton_metre") <= 0.8 * limit
    ]
    return f" Was it in {' or '.join(fits)}?" if fits else ""


_TABLES = ("threads", "nut-factors")
_TORQUE = Input("torque", Kind.TORQUE, "torque at the bolt", least="0.1 N·m", most="5000 N·m")
_STATE = Input("state", Form.TEXT, "of the thread", default="dry", options=("dry", "zinc-plated", "oiled"))
CLASSES = (
    "4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9", "A2-50", "A2-70", "A2-80",
    "A4-50", "A4-70", "A4-80", "SAE 2", "SAE 5", "SAE 8",
)  # fmt: skip
_STRENGTH = Input("strength", Form.TEXT, "class on the bolt's head; SAE grades by its lines", options=CLASSES)
_FRICTION = Input("friction", Kind.COUNT, "of thread and face", least="0.04", most="0.3", default=f"{USUAL_FRICTION:g}")
_K_SOURCE = "T = K·D·F (bolted-joint handbooks); K by a fastener vendor's chart"

CALCULATIONS = (
    Calculation(
        name="preload",
        subject="torque",
        title="the force that a torque makes in a bolt",
        inputs=(_TORQUE, THREAD, _STATE),
        work=preload,
        example={"torque": "25.5 N·m", "thread": "M8"},
        formula="F = T/(K·D)",
        source=_K_SOURCE,
        valid="an estimate, to a quarter or a third",
        tables=_TABLES,
    ),
    Calculation(
        name="torque-for-force",
        subject="torque",
        title="the torque that makes a force in a bolt",
        inputs=(Input("force", Kind.FORCE, "force in the bolt", least="0.1 kN", most="1000 kN"), THREAD, _STATE),
        work=torque_for,
        example={"force": "34 kN", "thread": "M12"},
        formula="T = K·D·F",
        source=_K_SOURCE,
        valid="an estimate, to a quarter or a third",
        tables=_TABLES,
    ),
    Calculation(
        name="greatest-torque",
        subject="torque",
        title="the torque at which a steel bolt is at 90 % of yield",
        inputs=(THREAD, _STRENGTH, _FRICTION),
        work=greatest_torque,
        example={"thread": "M14x1.5", "strength": "8.8"},
        formula="F·(0.16·P + 0.58·d2·μ + DKm·μ/2)",
        source="VDI 2230 part 1 (2003); the formula from memory, checked on all lines of the printed table",
        valid="hexagon screws M3 to M24 of 4.6 to 12.9, A2 and A4; weaker for UNC and UNF (faces from memory)",
        tables=("threads", "property-classes"),
    ),
    Calculation(
        name="plausible-torque",
        subject="torque",
        title="whether a torque can be meant for a thread, or its unit was mixed up",
        inputs=(_TORQUE, THREAD, _STRENGTH, _FRICTION),
        work=plausible,
        example={"torque": "30 N·m", "thread": "M14x1.5", "strength": "8.8"},
        formula="compared with VDI 2230",
        source="VDI 2230 part 1; the bounds are common practice, no source",
        valid="as greatest-torque",
        tables=("threads", "property-classes"),
    ),
)
