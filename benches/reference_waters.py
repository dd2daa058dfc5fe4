#!/usr/bin/env python3
"""The same waters by the reference program: PHREEQC (US Geological Survey, TM 6-A43, 2013), database phreeqc.dat, by
the Python package phreeqpython, in one process.

Prints microseconds for one index, and with --doses FILE writes waters after doses for tests/reference: each row is
one water, one product's pure substance and its amount, closed system, as dosing_shared.csv is made.
"""

import argparse
import random
import time

from phreeqpython import PhreeqPython


WATER = """
SOLUTION 1
 temp {temperature}
 pH {ph}
 units mol/kgw
 Alkalinity {alkalinity:.9f}
 Ca {calcium:.9f}
 Cl {chloride:.9f}
 Na {sodium:.9f} charge
"""


def water(temperature, ph, alkalinity, calcium, salt):
    ca = calcium / 100.09e3
    nacl = salt / 58.44e3
    return WATER.format(
        temperature=temperature, ph=ph, alkalinity=alkalinity / 50.045e3, calcium=ca,
        chloride=2 * ca + nacl, sodium=nacl + alkalinity / 50.045e3,
    )


OUTPUT = """
SELECTED_OUTPUT 1
 -reset false
USER_PUNCH 1
 -headings ph si alk ca
 -start
 10 PUNCH -LA("H+"), SI("Calcite"), ALK, TOT("Ca")
 -end
"""


def run(engine, text):
    engine.run_string(text)
    rows = engine.get_selected_output_array()
    head, last = rows[0], rows[-1]
    return dict(zip(head, last))


def timing(engine, count):
    draw = random.Random(1)
    texts = []
    for _ in range(count):
        texts.append(
            OUTPUT
            + water(draw.uniform(0.5, 35), draw.uniform(7, 8), draw.uniform(60, 200),
                    draw.uniform(80, 450), draw.uniform(0, 3000))
            + "END\n"
        )
    started = time.perf_counter()
    for text in texts:
        run(engine, text)
    return (time.perf_counter() - started) / count * 1e6


SUBSTANCES = {
    "HCl": ("HCl", 36.461),
    "NaHCO3": ("NaHCO3", 84.007),
    "Na2CO3": ("Na2CO3", 105.988),
    "CaCl2": ("CaCl2", 110.98),
    "NaHSO4": ("NaHSO4", 120.06),
}


def doses(engine, path, count):
    draw = random.Random(7)
    names = list(SUBSTANCES)
    with open(path, "w", encoding="utf-8") as out:
        out.write("# PHREEQC by phreeqpython, phreeqc.dat; made by benches/reference_waters.py --doses. One dose of pure\n")
        out.write("# substance, closed system, charge on Na as in dosing_shared.csv. mg/L as mg per kg of water.\n")
        out.write("case,temperature_c,ph,total_alkalinity,calcium_hardness,salt,chemical,dose_mmol_l,ph_after,saturation_index_after\n")
        for case in range(count):
            t = round(draw.uniform(0, 38), 1)
            ph = round(draw.uniform(6.7, 8.4), 2)
            alk = round(draw.uniform(30, 250))
            ca = round(draw.uniform(40, 800))
            salt = round(draw.choice([0, 200, 1000, 3200, 6000]))
            name = names[case % len(names)]
            mmol = round(draw.uniform(0.02, 0.3 if name in ("HCl", "NaHSO4", "Na2CO3") else 1.5), 3)
            if name in ("HCl", "NaHSO4"):
                mmol = min(mmol, round(alk / 50.045 * 0.6, 3))
            text = OUTPUT + water(t, ph, alk, ca, salt)
            text += f"REACTION 1\n {SUBSTANCES[name][0]} 1\n {mmol / 1000:.9f} moles\nREACTION_TEMPERATURE 1\n {t}\nEND\n"
            found = run(engine, text)
            out.write(f"dose-{case:03d},{t},{ph},{alk},{ca},{salt},{name},{mmol},{found['ph']:.5f},{found['si']:.5f}\n")


def main():
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--count", type=int, default=500)
    arguments.add_argument("--doses", metavar="FILE")
    wish = arguments.parse_args()
    engine = PhreeqPython(database="phreeqc.dat").ip
    if wish.doses:
        doses(engine, wish.doses, 100)
        return
    print(f"index by the reference program: {timing(engine, wish.count):.1f} microseconds a water, one process, {wish.count} waters")


if __name__ == "__main__":
    main()
