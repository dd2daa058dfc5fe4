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
        out.write("# PHREEQC (VIPhreeqc in phreeqpython 1.6.2), phreeqc.dat; by benches/reference_waters.py --doses. One dose of pure\n")
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


SIDES = """
SOLUTION_MASTER_SPECIES
 Cyan H3Cyan 0 129.07 129.07
 Hyp HHypO 0 70.906 70.906
SOLUTION_SPECIES
 H3Cyan = H3Cyan
  log_k 0
 HHypO = HHypO
  log_k 0
 HHypO = HypO- + H+
  -analytic 10.0686 -0.0253 -3000.00 0 0
 H3Cyan = H2Cyan- + H+
  -analytic -1.12 0 -1743 0 0
 H3Cyan = HCyan-2 + 2H+
  -analytic -12.52 0 -1743 0 0
"""
# O'Brien, Morris & Butler 1974 (25 C) as EPA/600/S-17/165 (2017), Table 2, lists it, by way of H2Cyan-.
CHLORINATED = """
 H3Cyan + HHypO = HHypCyan- + H+ + H2O
  -analytic 4.50 0 -1743 0 0
 H3Cyan + 2HHypO = Hyp2Cyan- + H+ + 2H2O
  -analytic 9.01 0 -1743 0 0
 H3Cyan + HHypO = H2HypCyan + H2O
  -analytic 9.83 0 -1743 0 0
 H3Cyan + 2HHypO = HHyp2Cyan + 2H2O
  -analytic 12.76 0 -1743 0 0
"""


def full(t, ph, carbon, calcium, salt, more):
    """A solution of molalities; carbon is a line of its own (Alkalinity or C)."""
    ca, nacl = calcium / 100.09e3, salt / 58.44e3
    lines = "".join(f" {name} {value:.10f}\n" for name, value in more.items() if value)
    return (
        f"SOLUTION 1\n temp {t}\n pH {ph}\n units mol/kgw\n {carbon}\n Ca {ca:.10f}\n"
        f" Cl {2 * ca + nacl:.10f}\n Na {nacl + 2e-3:.10f} charge\n{lines}"
    )


PUNCH = """
SELECTED_OUTPUT 1
 -reset false
USER_PUNCH 1
 -headings ph si alk carbon share
 -start
 10 PUNCH -LA("H+"), SI("Calcite"), ALK, TOT("C(4)"), MOL("H2Cyan-")
 -end
"""
HEADER = (
    "# PHREEQC (VIPhreeqc in phreeqpython 1.6.2), database phreeqc.dat bundled with it; made by\n"
    "# benches/reference_waters.py {how}. mg/L entered as mg per kg of water; alkalinity and hardness as CaCO3,\n"
    "# total alkalinity as titrated (cyanurate and borate in it); Cl = 2 Ca + NaCl; Na by charge balance.\n"
    "# Cyanurate as in saturation_cyanurate_shared.csv; boron as in phreeqc.dat; sulfate mg/L SO4, borate mg/L B.\n"
)


def waters(engine, path, count):
    """Waters at the edges: cold, salt, borate, cyanurate at pH extremes, sulfate, high alkalinity."""
    draw = random.Random(11)
    with open(path, "w", encoding="utf-8") as out:
        out.write(HEADER.format(how="--waters"))
        out.write(
            "case,kind,temperature_c,ph,total_alkalinity,calcium_hardness,salt,cyanuric_acid,borate,sulfate,"
            "saturation_index_calcite,dissolved_co2_total_mol_kg\n"
        )
        kinds = ["cold", "salt", "borate", "cyanurate", "sulfate", "alkaline"]
        for case in range(count):
            kind = kinds[case % len(kinds)]
            t = round(draw.uniform(0, 5) if kind == "cold" else draw.uniform(1, 38), 1)
            ph = round(draw.choice([6.8, 7.0, 8.2, 8.4]) if kind == "cyanurate" else draw.uniform(6.8, 8.4), 2)
            alk = round(draw.uniform(200, 400) if kind == "alkaline" else draw.uniform(90, 200))
            ca = round(draw.uniform(50, 700))
            salt = round(draw.uniform(3000, 6000) if kind == "salt" else draw.choice([0, 300, 1200]))
            cya = round(draw.uniform(30, 120)) if kind == "cyanurate" else draw.choice([0, 0, 40])
            boron = round(draw.uniform(10, 50)) if kind == "borate" else 0
            sulfate = round(draw.uniform(50, 400)) if kind == "sulfate" else 0
            more = {"Cyan": cya / 129.07e3, "B": boron / 10.81e3, "S(6)": sulfate / 96.06e3}
            text = SIDES + PUNCH + full(t, ph, f"Alkalinity {alk / 50.045e3:.10f}", ca, salt, more) + "END\n"
            found = run(engine, text)
            out.write(
                f"{kind}-{case:03d},{kind},{t},{ph},{alk},{ca},{salt},{cya},{boron},{sulfate},"
                f"{found['si']:.5f},{found['carbon']:.7e}\n"
            )


def coupling(engine, path, count):
    """Acid into chlorinated, stabilised water: chlorine bound to cyanurate and HOCl take part in acid and base."""
    draw = random.Random(13)
    with open(path, "w", encoding="utf-8") as out:
        out.write(HEADER.format(how="--coupling"))
        out.write(
            "# The water's carbon comes from its pH and alkalinity without chlorine (the kit neutralises it); then free\n"
            "# chlorine is there (HOCl by Morris 1966, chlorinated cyanurates by the 1974 set with the slope of Wahman 2018\n"
            "# through H2Cy-), and acid or soda ash goes in. ph_without: the same with no chlorine.\n"
        )
        out.write(
            "case,temperature_c,ph,total_alkalinity,calcium_hardness,salt,cyanuric_acid,free_chlorine,chemical,"
            "dose_mmol_l,ph_after,ph_without\n"
        )
        for case in range(count):
            t, ph = round(draw.uniform(2, 30), 1), round(draw.uniform(7.0, 8.2), 2)
            alk, ca = round(draw.uniform(60, 180)), round(draw.uniform(100, 500))
            cya, free = draw.choice([0, 20, 40, 80]), round(draw.uniform(0.5, 6), 1)
            name = ("HCl", "Na2CO3")[case % 2]
            mmol = round(draw.uniform(0.05, 0.25), 3)
            stabilised = {"Cyan": cya / 129.07e3}
            alkalinity = f"Alkalinity {alk / 50.045e3:.10f}"
            plain = run(engine, SIDES + PUNCH + full(t, ph, alkalinity, ca, 300, stabilised) + "END\n")
            reaction = f"REACTION 1\n {name} 1\n {mmol / 1000:.9f} moles\nREACTION_TEMPERATURE 1\n {t}\nEND\n"
            carbon = f"C(4) {plain['carbon']:.12f}"
            after = []
            for chlorine in (free / 70.906e3, 0):
                more = dict(stabilised, Hyp=chlorine)
                text = SIDES + (CHLORINATED if cya and chlorine else "") + PUNCH
                after.append(run(engine, text + full(t, ph, carbon, ca, 300, more) + reaction)["ph"])
            out.write(
                f"coupling-{case:03d},{t},{ph},{alk},{ca},300,{cya},{free},{name},{mmol},{after[0]:.5f},{after[1]:.5f}\n"
            )


def main():
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--count", type=int, default=500)
    arguments.add_argument("--doses", metavar="FILE")
    arguments.add_argument("--waters", metavar="FILE")
    arguments.add_argument("--coupling", metavar="FILE")
    wish = arguments.parse_args()
    engine = PhreeqPython(database="phreeqc.dat").ip
    if wish.doses:
        doses(engine, wish.doses, 100)
        return
    if wish.waters:
        waters(engine, wish.waters, 180)
        return
    if wish.coupling:
        coupling(engine, wish.coupling, 60)
        return
    print(f"index by the reference program: {timing(engine, wish.count):.1f} microseconds a water, one process, {wish.count} waters")


if __name__ == "__main__":
    main()
