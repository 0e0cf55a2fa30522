"""Runs `buy` and `quote` and compares them with general-purpose libraries.

The cheapest set of packs: random packs and needs, through `buy --json`, against an integer linear
program (scipy.optimize.milp, the HiGHS solver): the price, then the grams in packs of that price,
then their number. Money: every line of random rates is worked out anew with Python's decimal
module (ROUND_HALF_UP) from the file of rates and the grams that are told.
"""

import os
import random
import subprocess
import sys
import tempfile
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from program import program, told

SEED = 20261126
SHOPS = 120
QUOTES = 60
COMPONENTS = ("A", "B", "softener")


def write_box(path):
    """A box of 50 × 40 × 25 mm as text of an STL file."""
    x, y, z = 50, 40, 25
    corner = [(x * (i & 1), y * (i >> 1 & 1), z * (i >> 2)) for i in range(8)]
    quads = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))
    text = "solid box\n"
    for p, q, r, s in quads:
        for triangle in ((p, q, r), (p, r, s)):
            lines = "".join("vertex %g %g %g\n" % corner[i] for i in triangle)
            text += f"facet normal 0 0 0\nouter loop\n{lines}endloop\nendfacet\n"
    path.write_text(text + "endsolid box\n")


def write_system(folder, packs):
    text = (
        'id = "own"\ntitle = "Rubber of our own workshop, 2:1 by weight"\nfamily = "urethane"\n'
        'ratio = "weight"\ncomponents = [{ name = "A", parts = 2, density_g_cm3 = 1.02 }, '
        '{ name = "B", parts = 1, density_g_cm3 = 1.05 }]\n'
        'softener = { name = "softener", density_g_cm3 = 0.97, points = ['
        "{ parts = 0, shore_00 = 40 }, { parts = 2, shore_00 = 20 }] }\n"
    )
    for number, (holds, price) in enumerate(packs):
        held = ", ".join(f"{c} = {g}" for c, g in zip(COMPONENTS, holds) if g)
        text += f'[[packs]]\nname = "pack {number}"\nprice = "{price}"\ncontents_g = {{ {held} }}\n'
    (folder / "systems").mkdir(exist_ok=True)
    (folder / "systems" / "own.toml").write_text(text)


def random_packs(rng):
    packs = []
    for _ in range(rng.randint(1, 6)):
        holds = [rng.choice((0, 0, rng.randint(1, 8) * 125, rng.randint(90, 1500))) for _ in range(3)]
        if any(holds):
            packs.append((holds, Decimal(rng.randint(300, 6000)) / 100))
    # Everything can be had.
    packs.append(([400, 200, 300], Decimal("21.30")))
    return packs


def solved(cost, holds, needs, fixed):
    """The least of a cost in whole packs that cover the needs, where some sums are given."""
    constraints = [LinearConstraint(np.array(holds, dtype=float), lb=np.array(needs, dtype=float))]
    for row, value in fixed:
        constraints.append(LinearConstraint(np.array([row], dtype=float), lb=value, ub=value))
    result = milp(
        np.array(cost, dtype=float),
        constraints=constraints,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 100_000),
        options={"mip_rel_gap": 0.0},
    )
    if not result.success:
        sys.exit(f"the integer program failed: {result.message}")
    counts = [round(x) for x in result.x]
    # Whole packs must cover in whole numbers too.
    covered = (sum(h * n for h, n in zip(row, counts)) for row in holds)
    if any(have < need for have, need in zip(covered, needs)):
        sys.exit("the integer program's packs don't cover the needs")
    return sum(c * n for c, n in zip(cost, counts))


def check_packs(folder):
    rng = random.Random(SEED)
    failed = 0
    for _ in range(SHOPS):
        packs = random_packs(rng)
        write_system(folder, packs)
        castings = rng.choice((1, 3, 10, 25, rng.randint(1, 60)))
        system = told(folder, "buy", "box.toml", "--castings", str(castings))["systems"][0]
        # Whole tenths of a gram and whole cents: the solver's numbers are small and exact.
        short = {one["name"]: round(10 * one["short_g"]) for one in system["components"]}
        needs = [short.get(c, 0) for c in COMPONENTS]
        holds = [[10 * pack[0][c] for pack in packs] for c in range(3)]
        cents = [int(100 * price) for _, price in packs]
        grams = [sum(pack[0]) for pack in packs]
        price = solved(cents, holds, needs, [])
        least = solved(grams, holds, needs, [(cents, price)])
        fewest = solved([1] * len(packs), holds, needs, [(cents, price), (grams, least)])
        count = {pack["name"]: pack["count"] for pack in system["packs"]}
        count = [count.get(f"pack {number}", 0) for number in range(len(packs))]
        ours = tuple(sum(w * n for w, n in zip(weight, count)) for weight in (cents, grams, [1] * len(packs)))
        covered = all(sum(h * n for h, n in zip(row, count)) >= need for row, need in zip(holds, needs))
        fine = covered and ours == (price, least, fewest)
        fine &= Decimal(system["price"]) == Decimal(price) / 100
        if not fine:
            print(f"DIFFERS {packs} for {needs}: {ours} instead of {(price, least, fewest)}")
        failed += not fine
    print(f"{'ok ' if not failed else 'DIFFERS '}cheapest packs of {SHOPS} shops by an integer program")
    return failed


def half_up(amount, decimals):
    return amount.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def random_rates(rng):
    def money(most):
        return Decimal(rng.randint(0, most)) / rng.choice((1, 10, 100, 1000))

    return {
        "decimals": rng.choice((0, 2, 2, 2, 3)),
        "hourly": money(9000),
        "kg": {c: money(9000) for c in COMPONENTS},
        "part": money(5000),
        "each": Decimal(rng.randint(1, 12)) / 4,
        "mould": money(90000),
        "life": rng.randint(1, 60),
        "trial": rng.choice((0, 0, 1, 2)),
        "rejects": Decimal(rng.randint(0, 300)) / 10,
        "minutes": [Decimal(rng.randint(0, 900)) / 10 for _ in range(3)],
        "overhead": Decimal(rng.randint(0, 400)) / 10,
        "profit": (rng.choice(("margin", "markup")), Decimal(rng.randint(0, 600)) / 10),
        "taxes": [(Decimal(rng.randint(0, 300)) / 10, rng.random() < 0.5) for _ in range(2)],
    }


def write_rates(path, r):
    kind, profit = r["profit"]
    text = (
        f'decimals = {r["decimals"]}\nhourly_rate = {r["hourly"]}\nrejects_percent = {r["rejects"]}\n'
        f'trial_castings = {r["trial"]}\noverhead_percent = {r["overhead"]}\n{kind}_percent = {profit}\n'
    )
    for component, price in r["kg"].items():
        text += f'[[prices]]\nsystem = "own"\ncomponent = "{component}"\nper_kg = {price}\n'
    text += f'[[bought_in]]\nname = "part"\nprice = {r["part"]}\neach = {r["each"]}\n'
    text += f'[mould]\ncost = {r["mould"]}\nlife_castings = {r["life"]}\n'
    for per, minutes in zip(("casting", "round", "order"), r["minutes"]):
        text += f'[[steps]]\nname = "{per}"\nminutes = {minutes}\nper = "{per}"\n'
    for percent, on_taxes in r["taxes"]:
        on = str(on_taxes).lower()
        text += f'[[taxes]]\nname = "tax"\npercent = {percent}\non_taxes = {on}\n'
    path.write_text(text)


def by_decimal(r, column):
    """Amounts of all lines by group, and the sums, from the rates and the grams."""
    def up(amount):
        return half_up(amount, r["decimals"])

    pieces, rounds, trial = column["pieces"], column["rounds"], r["trial"]
    hundred = Decimal(100)

    def material(key):
        return [up(Decimal(str(w[key])) * r["kg"][w["component"]] / 1000) for w in column["weigh"]]

    def parts(n):
        return up(n * r["each"] * r["part"])

    def wear(n):
        return up(n * r["mould"] / r["life"])

    def work(counts):
        pairs = [(n, m) for n, m in zip(counts, r["minutes"]) if m > 0]
        return [up(n * m * r["hourly"] / 60) for n, m in pairs]

    lines = {"material": material("grams"), "bought-in": [parts(pieces)], "mould": [wear(pieces)]}
    lines["work"] = work((pieces, rounds, 1))
    if trial:
        lines["trial"] = material("trial_grams") + [parts(trial), wear(trial)] + work((trial, trial))
    if r["rejects"]:
        again = lines["material"] + lines["bought-in"] + lines["mould"] + work((pieces, rounds))
        lines["rejects"] = [up(sum(again) * r["rejects"] / (hundred - r["rejects"]))]
    total = sum(sum(amounts) for amounts in lines.values())
    lines["overhead"] = [up(total * r["overhead"] / hundred)]
    cost = total + lines["overhead"][0]
    kind, percent = r["profit"]
    below = hundred - percent if kind == "margin" else hundred
    lines["margin"] = [up(cost * percent / below)]
    net = cost + lines["margin"][0]
    gross = net
    lines["tax"] = []
    for percent, on_taxes in r["taxes"]:
        tax = up((gross if on_taxes else net) * percent / hundred)
        lines["tax"].append(tax)
        gross += tax
    sums = (cost, net, gross, up(net / pieces), up(gross / pieces))
    return lines, sums


def check_money(folder):
    rng = random.Random(SEED + 1)
    write_system(folder, [([400, 200, 300], Decimal("21.30"))])
    failed = 0
    for _ in range(QUOTES):
        rates = random_rates(rng)
        write_rates(folder / "rates.toml", rates)
        line = ["quote", "box.toml", "--rates", "rates.toml", "--moulds", str(rng.randint(1, 4))]
        for column in told(folder, *line)["quantities"]:
            lines, sums = by_decimal(rates, column)
            ours = {}
            for one in column["lines"]:
                ours.setdefault(one["group"], []).append(Decimal(one["amount"]))
            keys = ("cost", "price_before_tax", "price", "each_before_tax", "each")
            fine = ours == lines and tuple(Decimal(column[key]) for key in keys) == sums
            if not fine:
                print(f"DIFFERS {rates} at {column['pieces']} pieces: {ours} instead of {lines}, {sums}")
            failed += not fine
    print(f"{'ok ' if not failed else 'DIFFERS '}{QUOTES} quotes by Python's decimal module")
    return failed


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        write_box(folder / "box.stl")
        write_system(folder, [([400, 200, 300], Decimal("21.30"))])
        options = ["--unit", "mm", "--skin", "0", "--cap", "0", "--core-system", "own"]
        line = [program(), "plan", "box.stl", *options, "--save", "box.toml"]
        env = dict(os.environ, XDG_CONFIG_HOME=str(folder / "no-settings"))
        subprocess.run(line, check=True, capture_output=True, cwd=folder, env=env)
        failed = check_packs(folder) + check_money(folder)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
