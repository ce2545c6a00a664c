"""How thick an oil is: at another temperature, its viscosity index, and which grades it meets. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

from assistant.core.compute.base.calculation import Calculation, Form, Input, Row
from assistant.core.compute.base.real import amount_of, real
from assistant.core.compute.base.result import Finding, Result
from assistant.core.errors import ReadingError
from assistant.core.quantities.units import Amount, Kind

_ZERO_CELSIUS = 273.15
_ABOVE_100 = 0.00715


def _doubled(viscosity: Amount) -> float:
    return log10(log10(real(viscosity, "square_millimetre_per_second") + 0.7))


def at_temperature(first: Amount, first_at: Amount, second: Amount, second_at: Amount, wanted_at: Amount) -> Result:
    """Return an oil's viscosity at a temperature, from two others; `A` and `B` of the line under those names.

    Parameters
    ----------
    first, second : Amount
        Kinematic viscosities [viscosity], 2 mm²/s and more.
    first_at, second_at, wanted_at : Amount
        Temperatures [temperature], -40 to 150 °C.

    Raises
    ------
    ReadingError
        Where the warmer viscosity is not the smaller one, or the two temperatures are one.

    References
    ----------
    ASTM D341, short form: log log(ν + 0.7) = A - B·log T.
    """
    one, two, wanted = (
        log10(real(each, "degree_Celsius") + _ZERO_CELSIUS) for each in (first_at, second_at, wanted_at)
    )
    if one == two or (_doubled(first) - _doubled(second)) * (one - two) >= 0:
        raise ReadingError(
            "the warmer oil must be the thinner one, and the two temperatures differ: exchange or measure again",
            say="Warm oil must be thinner than cold oil. Measure again.",
        )
    steep = (_doubled(first) - _doubled(second)) / (two - one)
    height = _doubled(first) + steep * one
    value = 10 ** (10 ** (height - steep * wanted)) - 0.7
    if value < 2:
        raise ReadingError(
            f"at that temperature it would be thinner than 2 mm²/s ({value:.3g}): the short form ends there",
            say="The formula ends at two square millimetres per second.",
        )
    return Result(
        value=amount_of(value, "square_millimetre_per_second"),
        because="It lies on the line through your two viscosities.",
        inputs=(
            ("first", first),
            ("first-at", first_at),
            ("second", second),
            ("second-at", second_at),
            ("wanted-at", wanted_at),
        ),
        more=(("A", amount_of(height, "one")), ("B", amount_of(steep, "one"))),
        assumptions=("the oil is above its cloud point, so that it flows as a plain liquid",),
        source="ASTM D341, short form",
    )


def index(at_40: Amount, at_100: Amount, viscosity_index: Sequence[Row]) -> Result:
    """Return the viscosity index, rounded to a whole number; `L` and `H` of the reference oils under those names.

    Parameters
    ----------
    at_40, at_100 : Amount
        Kinematic viscosities at 40 and at 100 °C [viscosity].

    Raises
    ------
    ReadingError
        Below 2 mm²/s at 100 °C, and where the oil is not thinner when warm.

    References
    ----------
    ASTM D2270, procedures A and B.
    """
    cold, warm = (real(each, "square_millimetre_per_second") for each in (at_40, at_100))
    if warm < 2 or cold <= warm:
        raise ReadingError(
            f"{cold:g} and {warm:g} mm²/s: the standard begins at 2 mm²/s, and oil is thinner when warm",
            say="Those viscosities can't be right. Warm oil is thinner.",
        )
    row = [row for row in viscosity_index if float(row["from"]) <= warm][-1]
    low, high = (
        float(row[a]) * warm**2 + float(row[b]) * warm + float(row[c]) for a, b, c in (("a", "b", "c"), ("d", "e", "f"))
    )
    if cold > high:
        value = 100 * (low - cold) / (low - high)
    else:
        value = (10 ** (log10(high / cold) / log10(warm)) - 1) / _ABOVE_100 + 100
    return Result(
        value=amount_of(round(value), "one"),
        because="It compares how much the oil thins with two reference oils.",
        inputs=(("at-40", at_40), ("at-100", at_100)),
        more=(("L", amount_of(low, "one")), ("H", amount_of(high, "one")), ("exact", amount_of(value, "one"))),
        source="ASTM D2270",
    )


def grades(
    at_100: Amount, shear: str | None, kind: str, oil_grades: Sequence[Row], gear_oil_grades: Sequence[Row]
) -> Finding:
    """Return the grades whose viscosity at 100 °C an oil meets; they overlap, so there may be several.

    Parameters
    ----------
    at_100 : Amount
        Kinematic viscosity at 100 °C [viscosity].
    shear : str or None
        Viscosity at 150 °C under high shear [mPa·s] as a plain number, for engine oil, where it is known.
    kind : str
        `engine` (SAE J300) or `gear` (SAE J306): two different scales.
    """
    warm = real(at_100, "square_millimetre_per_second")
    rows = [row for row in (oil_grades if kind == "engine" else gear_oil_grades) if not row["grade"].endswith("W")]
    met = [row for row in rows if float(row["kv100_least"]) <= warm < float(row["kv100_below"] or "inf")]
    if shear is not None and kind == "engine":
        try:
            thick = float(shear)
        except ValueError as error:
            raise ReadingError(f"{shear!r} is no number of mPa·s", say="I can't read that viscosity.") from error
        met = [row for row in met if thick >= float(row["hths_least"])]
    if not met:
        raise ReadingError(
            f"no grade of {'SAE J300' if kind == 'engine' else 'SAE J306'} fits {warm:g} mm²/s at 100 °C",
            say="No grade fits that viscosity. Measure again.",
        )
    return Finding(
        value=", ".join(row["grade"] for row in met),
        because="I looked up which grades allow that.",
        inputs=(("at-100", at_100), *((("shear", shear),) if shear else ()), ("kind", kind)),
        assumptions=() if shear or kind == "gear" else ("without the viscosity under shear, grades overlap",),
        cautions=("Engine grades and gear grades are different scales.",),
        source="SAE J300 (2015)" if kind == "engine" else "SAE J306 (2019)",
    )


_WARMTH = ("-40 °C", "150 °C")
_VISCOUS = ("2 mm²/s", "100000 mm²/s")

CALCULATIONS = (
    Calculation(
        name="oil-viscosity",
        subject="oil-choice",
        title="how thick an oil is at a temperature",
        inputs=(
            Input("first", Kind.VISCOSITY, "a viscosity of the data sheet", *_VISCOUS),
            Input("first-at", Kind.TEMPERATURE, "its temperature", *_WARMTH, default="40 °C"),
            Input("second", Kind.VISCOSITY, "another one", *_VISCOUS),
            Input("second-at", Kind.TEMPERATURE, "its temperature", *_WARMTH, default="100 °C"),
            Input("wanted-at", Kind.TEMPERATURE, "for which it is wanted", *_WARMTH),
        ),
        work=at_temperature,
        example={"first": "32 mm²/s", "second": "5.4 mm²/s", "wanted-at": "80 °C"},
        formula="log log(ν + 0.7) = A − B·log T",
        source="ASTM D341, short form",
        valid="2 mm²/s and more",
    ),
    Calculation(
        name="viscosity-index",
        subject="oil-choice",
        title="the viscosity index of an oil",
        inputs=(
            Input("at-40", Kind.VISCOSITY, "at 40 °C, on the data sheet", *_VISCOUS),
            Input("at-100", Kind.VISCOSITY, "at 100 °C, on the data sheet", "2 mm²/s", "500 mm²/s"),
        ),
        work=index,
        example={"at-40": "73.30 mm²/s", "at-100": "8.86 mm²/s"},
        formula="100·(L−U)/(L−H), or (10^N − 1)/0.00715 + 100",
        source="ASTM D2270, procedures A and B",
        valid="2 mm²/s and more at 100 °C",
        tables=("viscosity-index",),
    ),
    Calculation(
        name="oil-grades",
        subject="oil-choice",
        title="which grades a measured viscosity meets",
        inputs=(
            Input("at-100", Kind.VISCOSITY, "at 100 °C, on the data sheet", "2 mm²/s", "500 mm²/s"),
            Input("shear", Form.TEXT, "at 150 °C under high shear, as a number of mPa·s", default=""),
            Input("kind", Form.TEXT, "of oil", default="engine", options=("engine", "gear")),
        ),
        work=grades,
        example={"at-100": "11.0 mm²/s", "shear": "3.3"},
        formula="looked up",
        source="SAE J300 (2015) and SAE J306 (2019), as printed by others",
        valid="grades without W",
        tables=("oil-grades", "gear-oil-grades"),
    ),
)
