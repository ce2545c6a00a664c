"""In which order and in which stages bolts are tightened; torque plus angle. Pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.core.compute.base.calculation import Calculation, Input
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind, convert, write_amount

_LAST = "The service manual's own order goes before this one."


def _whole(count: Amount, least: int, most: int) -> int:
    number = count.magnitude
    if number != int(number) or not least <= number <= most:
        raise ReadingError(
            f"{number} is no number of bolts from {least} to {most}", say=f"Say how many bolts, {least} to {most}."
        )
    return int(number)


def ring_order(bolts: Amount, torque: Amount) -> Finding:
    """Return the order of a ring of wheel nuts or bolts, crosswise, and its two stages: half, then all.

    Five bolts go in a star; an even number goes from each to the one across. Bolts are numbered around the ring.

    Raises
    ------
    ReadingError
        For a number of bolts that is not whole, or is outside 3 to 12.

    References
    ----------
    Crosswise, by hand first, in stages, last with the torque wrench: adaptitusa.com, tirebusiness.com.
    """
    number = _whole(bolts, 3, 12)
    if number % 2:  # a star: each next one is across, and one further
        order = [1 + step * (number // 2) % number for step in range(number)]
    else:
        half = number // 2
        firsts = [*range(1, half + 1, 2), *range(2, half + 1, 2)]
        order = [bolt for first in firsts for bolt in (first, first + half)]
    half_torque = Amount(torque.magnitude / 2, torque.unit, Kind.TORQUE)
    return Finding(
        value=", ".join(map(str, order)),
        because="Crosswise, so that the wheel is drawn on evenly. First by hand, then at half, then at all of it.",
        inputs=(("bolts", bolts), ("torque", torque)),
        more=(("first stage", half_torque), ("last stage", torque)),
        also="The first stage is {first stage}. The last is {last stage}.",
        cautions=(
            "Do the last stage with the wheel on the ground.",
            "Threads clean and dry, unless the maker says other.",
        ),
        assumptions=("bolts are numbered around the ring", "half, then all (adaptitusa.com)", _LAST),
        source="crosswise in stages: adaptitusa.com, tirebusiness.com",
    )


def cover_order(columns: Amount, rows: Amount, torque: Amount) -> Finding:
    """Return the order of the bolts of a cover or sump: from the middle outwards, crosswise, in three stages.

    Bolts lie in `rows` rows of `columns`, numbered row by row as one reads. Those of equal distance go crosswise.

    Raises
    ------
    ReadingError
        For numbers that are not whole, or outside 1 to 12.
    """
    across, down = _whole(columns, 1, 12), _whole(rows, 1, 12)
    places = [(column - (across - 1) / 2, row - (down - 1) / 2) for row in range(down) for column in range(across)]
    left = sorted(range(len(places)), key=lambda bolt: (_from_middle(places[bolt]), bolt))
    order: list[int] = []
    while left:
        first = left.pop(0)
        order.append(first)
        opposite = len(places) - 1 - first
        if opposite in left:
            left.remove(opposite)
            order.append(opposite)
    stages = tuple(
        (f"stage {stage}", Amount(torque.magnitude * share, torque.unit, Kind.TORQUE))
        for stage, share in ((1, Decimal("0.5")), (2, Decimal("0.8")), (3, Decimal(1)))
    )
    return Finding(
        value=", ".join(str(bolt + 1) for bolt in order),
        because="From the middle outwards and crosswise, so that the seal lies flat.",
        inputs=(("columns", columns), ("rows", rows), ("torque", torque)),
        more=stages,
        also="The stages are {stage 1}, then {stage 2}, then {stage 3}.",
        assumptions=(
            "bolts are numbered row by row",
            "half, four fifths, then all (common practice, no source)",
            _LAST,
        ),
        source="common practice, no source",
    )


def _from_middle(place: tuple[float, float]) -> float:
    return round(place[0] ** 2 + place[1] ** 2, 6)


def torque_angle(first: Amount, angle: Amount, turns: Amount) -> Result:
    """Return how far each of several equal turns goes after the first torque, and in `whole` how far all go.

    Parameters
    ----------
    first : Amount
        Torque before the angle [torque].
    angle : Amount
        The whole angle [angle], above zero, at most two turns.
    turns : Amount
        In how many equal turns it is done [count], 1 to 8.
    """
    parts = _whole(turns, 1, 8)
    degrees = convert(angle, "degree_of_arc").magnitude
    if degrees <= 0:
        raise ReadingError("an angle of nothing is no turn", say="The angle must be more than nothing.")
    return Result(
        value=Amount(degrees / parts, "degree_of_arc", Kind.ANGLE),
        because=f"First tighten to {write_amount(first)}. Mark the bolts. Then turn each, in {parts} equal parts.",
        inputs=(("first", first), ("angle", angle), ("turns", turns)),
        more=(("whole", Amount(degrees, "degree_of_arc", Kind.ANGLE)),),
        also="That is one part." if parts > 1 else "",
        cautions=("Bolts tightened by angle are stretched. Use new ones where the manual says so.",),
        assumptions=(_LAST,),
        source="arithmetic",
    )


_FINAL = Input("torque", Kind.TORQUE, "torque at the end", least="1 N·m", most="1000 N·m")

CALCULATIONS = (
    Calculation(
        name="wheel-order",
        subject="torque",
        title="order and stages of wheel nuts or another ring of bolts",
        inputs=(Input("bolts", Kind.COUNT, "how many on the ring", least="3", most="12"), _FINAL),
        work=ring_order,
        example={"bolts": "5", "torque": "110 N·m"},
        formula="a star, or crosswise",
        source="adaptitusa.com, tirebusiness.com",
        valid="3 to 12 bolts on one ring",
    ),
    Calculation(
        name="cover-order",
        subject="torque",
        title="order and stages of the bolts of a cover or an oil pan",
        inputs=(
            Input("columns", Kind.COUNT, "bolts in a row", least="1", most="12"),
            Input("rows", Kind.COUNT, "rows of bolts", least="1", most="12"),
            _FINAL,
        ),
        work=cover_order,
        example={"columns": "5", "rows": "2", "torque": "10 N·m"},
        formula="by distance from the middle, crosswise",
        source="common practice, no source",
        valid="bolts in rows; where the manual prints an order, that one",
    ),
    Calculation(
        name="torque-angle",
        subject="torque",
        title="torque plus angle, in equal turns",
        inputs=(
            Input("first", Kind.TORQUE, "torque before the angle", least="1 N·m", most="500 N·m"),
            Input("angle", Kind.ANGLE, "the whole angle", most="720 °"),
            Input("turns", Kind.COUNT, "in how many equal turns", least="1", most="8", default="1"),
        ),
        work=torque_angle,
        example={"first": "40 N·m", "angle": "180 °", "turns": "2"},
        formula="angle / turns",
        source="arithmetic; the manual has torque and angle",
        valid="up to two turns",
    ),
)
