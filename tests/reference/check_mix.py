"""Runs `mix` and compares units and mixtures with pint, a general-purpose library of units.

Random volumes, areas, thicknesses and masses in units of many names are typed, and what stays in
place is worked out anew by pint; the density of a mix of random components from their own, as
Σm / Σ(m/ρ) (no change of volume on mixing), and parts by volume as grams.
"""

import random
import tempfile
from pathlib import Path

import pint

from program import told

SEED = 20261126
CASES = 150
# How the program spells what pint spells otherwise.
VOLUMES = {
    "ml": "milliliter",
    "l": "liter",
    "cm3": "centimeter**3",
    "mm3": "millimeter**3",
    "in3": "inch**3",
    "usfloz": "fluid_ounce",
    "impfloz": "imperial_fluid_ounce",
    "usgal": "gallon",
    "impgal": "imperial_gallon",
}
AREAS = {"cm2": "centimeter**2", "mm2": "millimeter**2", "m2": "meter**2", "in2": "inch**2", "ft2": "foot**2"}
LENGTHS = {"mm": "millimeter", "cm": "centimeter", "in": "inch"}
MASSES = {"g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}


def close(what, got, want, tolerance=1e-9):
    if abs(got - want) > tolerance * max(abs(want), 1e-12):
        raise SystemExit(f"{what}: {got}, by the library {want}")


def typed(chance, units, low, high, base, unit_of):
    """A number and unit whose size in `base` lies between low and high."""
    name, theirs = chance.choice(sorted(units.items()))
    size = chance.uniform(low, high)
    number = round((size * unit_of(base)).to(theirs).magnitude, 6)
    return f"{number}{name}", number * unit_of(theirs)


def check_units(folder, chance, unit_of):
    for _ in range(CASES):
        text, size = typed(chance, VOLUMES, 40, 4000, "centimeter**3", unit_of)
        close(text, told(folder, "mix", "--volume", text)["volume_cm3"], size.to("centimeter**3").magnitude)
        area, cm2 = typed(chance, AREAS, 50, 3000, "centimeter**2", unit_of)
        thick, mm = typed(chance, LENGTHS, 0.3, 5, "millimeter", unit_of)
        got = told(folder, "mix", "--area", area, "--thickness", thick)
        close(f"{thick} on {area}", got["volume_cm3"], (cm2 * mm).to("centimeter**3").magnitude)
        mass, grams = typed(chance, MASSES, 40, 4000, "gram", unit_of)
        close(mass, told(folder, "mix", "--mass", mass)["net_g"], grams.to("gram").magnitude)


def check_mixtures(folder, chance):
    for number in range(CASES):
        by = chance.choice(("weight", "volume"))
        parts = [chance.randint(1, 100) for _ in range(chance.randint(2, 4))]
        densities = [round(chance.uniform(0.9, 1.6), 3) for _ in parts]
        components = "".join(
            f'[[components]]\nname = "{name}"\nparts = {part}\ndensity_g_cm3 = {density}\n'
            for name, part, density in zip("ABCD", parts, densities)
        )
        system = folder / f"mix-{number}.toml"
        head = f'id = "mix-{number}"\ntitle = "Invented"\nfamily = "urethane"\nratio = "{by}"\n'
        system.write_text(head + components)
        got = told(folder, "mix", "--volume", "50l", "--system", system.name, "--exact", "--scale-step", "0.01g")
        masses = parts if by == "weight" else [p * d for p, d in zip(parts, densities)]
        density = sum(masses) / sum(m / d for m, d in zip(masses, densities))
        close(f"density of {parts} by {by} of {densities}", got["density_g_cm3"], density)
        close("net grams", got["net_g"], 50_000 * density)
        for component, mass in zip(got["components"], masses):
            # Fifty litres on a scale of 0.01 g: rounding is far below.
            close(component["name"], component["grams"] / got["mix_g"], mass / sum(masses), 2e-4)


def main():
    unit_of = pint.UnitRegistry().Quantity
    chance = random.Random(SEED)
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        check_units(folder, chance, lambda unit: unit_of(1, unit))
        check_mixtures(folder, chance)
    print(f"mix: {3 * CASES} amounts in other units and {CASES} mixtures agree with pint {pint.__version__}")


if __name__ == "__main__":
    main()
