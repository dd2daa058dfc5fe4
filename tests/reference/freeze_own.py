"""Freezing of still water in a pipe by an explicit apparent-heat-capacity scheme: freeze_own.csv.

    python tests/reference/freeze_own.py > tests/reference/freeze_own.csv        (numpy; a few minutes)

The program (src/thermal/enthalpy.rs) keeps enthalpies, is implicit in time and takes Newton steps. This script shares none of
that: temperature is the unknown, the latent heat is smeared over a quarter of a kelvin below 0 degC as extra heat capacity
(Bonacina and others 1973, International Journal of Heat and Mass Transfer 16:1825, from memory), and time is stepped forward
explicitly (Euler) within the stability limit. Conduction in a cylinder by finite volumes, harmonic conductances between cell
centres with the logarithm of the radii. Water, wall and foam all start at one temperature; no supercooling, liquid at rest.
Constants are those of README_freeze.md. Pipes: PVC schedule 40 by ASTM D1785. The air falls by `fall_c_h` an hour from `air_c`.
"""
import itertools
import sys

import numpy as np

RHO, C, K, L = 999.8, 4210.0, 0.56, 333.6e3
C_ICE, K_ICE = 2050.0, 2.22
PVC = (0.19, 1400.0, 1000.0)
FOAM = (0.036, 35.0, 1400.0)
SMEAR = 0.25
PIPES = {"pvc40_1.5in": (1.900, 0.145), "pvc40_2in": (2.375, 0.154), "pvc40_3in": (3.500, 0.216)}
WATER, WALL, INSULATION = 40, 6, 8


def grid(pipe, insulation_mm):
    outside, wall = (inch * 0.0254 for inch in PIPES[pipe])
    outer = outside / 2
    inner = outer - wall
    faces = [np.linspace(0.0, inner, WATER + 1), np.linspace(inner, outer, WALL + 1)[1:]]
    if insulation_mm > 0:
        faces.append(np.linspace(outer, outer + insulation_mm / 1000, INSULATION + 1)[1:])
    return np.concatenate(faces)


def frozen(t):
    return np.clip(-t / SMEAR, 0.0, 1.0)


def run(pipe, insulation_mm, start_c, air_c, fall_c_h, film):
    faces = grid(pipe, insulation_mm)
    mid = (faces[1:] + faces[:-1]) / 2
    mid[0] = faces[1] / 2
    area = np.pi * (faces[1:] ** 2 - faces[:-1] ** 2)
    cells = len(mid)
    solid_k = np.zeros(cells)
    solid_heat = np.zeros(cells)
    wall = slice(WATER, WATER + WALL)
    foam = slice(WATER + WALL, cells)
    solid_k[wall], solid_heat[wall] = PVC[0], PVC[1] * PVC[2]
    solid_k[foam], solid_heat[foam] = FOAM[0], FOAM[1] * FOAM[2]
    inner_log = np.log(faces[1:-1] / mid[:-1]) / (2 * np.pi)
    outer_log = np.log(mid[1:] / faces[1:-1]) / (2 * np.pi)
    last_log = np.log(faces[-1] / mid[-1]) / (2 * np.pi)
    dr = np.diff(faces)
    fastest = np.where(np.arange(cells) < WATER, K_ICE / (RHO * C_ICE), 0.0)
    fastest[WATER:] = solid_k[WATER:] / solid_heat[WATER:]
    dt = 0.35 * np.min(dr**2 / fastest)
    t = np.full(cells, float(start_c))
    k, heat = solid_k.copy(), solid_heat.copy()
    weights = area[:WATER] / area[:WATER].sum()
    found = dict.fromkeys(("first_ice_h", "mean_zero_h", "half_h", "blocked_h"))
    for step in itertools.count(1):
        w = t[:WATER]
        ice = frozen(w)
        k[:WATER] = K + (K_ICE - K) * ice
        mushy = (w < 0.0) & (w > -SMEAR)
        heat[:WATER] = RHO * (C + (C_ICE - C) * ice + np.where(mushy, L / SMEAR, 0.0))
        flow = (t[:-1] - t[1:]) / (inner_log / k[:-1] + outer_log / k[1:])
        air = air_c - fall_c_h * (step - 1) * dt / 3600
        out = (t[-1] - air) / (last_log / k[-1] + 1 / (film * 2 * np.pi * faces[-1]))
        gain = np.zeros(cells)
        gain[:-1] -= flow
        gain[1:] += flow
        gain[-1] -= out
        before = t
        t = t + gain * dt / (area * heat)
        # A cell may not jump over the freezing range: what it lost beyond 0 degC goes into latent heat.
        jumped = (before[:WATER] >= 0.0) & (t[:WATER] < 0.0)
        if jumped.any():
            ratio = C / (C + L / SMEAR)
            t[:WATER] = np.where(jumped, t[:WATER] * ratio, t[:WATER])
        hours = step * dt / 3600
        ice = frozen(t[:WATER])
        share = float((weights * ice).sum())
        # Supercooling has no place here: the mean is of the liquid and the ice together.
        mean = float((weights * t[:WATER]).sum())
        for name, holds in (("first_ice_h", ice[-1] > 0.0), ("mean_zero_h", mean <= 0.0), ("half_h", share >= 0.5), ("blocked_h", share >= 0.999)):
            if found[name] is None and holds:
                found[name] = hours
        if found["blocked_h"] is not None:
            return found
        if hours > 200:
            sys.exit(f"no end: {pipe} {air_c}")


CASES = [
    ("pvc40_1.5in", 0, 6, -6, 0, 22),
    ("pvc40_1.5in", 0, 4, -9, 0, 35),
    ("pvc40_1.5in", 0, 12, -14, 0, 28),
    ("pvc40_1.5in", 0, 22, -20, 0, 45),
    ("pvc40_1.5in", 10, 7, -12, 0, 18),
    ("pvc40_1.5in", 0, 5, 1, 1.5, 25),
    ("pvc40_2in", 0, 3, -8, 0, 30),
    ("pvc40_2in", 0, 9, -17, 0, 15),
    ("pvc40_2in", 0, 15, -25, 0, 55),
    ("pvc40_2in", 19, 6, -20, 0, 25),
    ("pvc40_2in", 0, 8, 0, 1.0, 20),
    ("pvc40_3in", 0, 5, -16, 0, 30),
    ("pvc40_3in", 0, 2, -11, 0, 40),
    ("pvc40_3in", 0, 18, -22, 0, 20),
]

if __name__ == "__main__":
    print("id,pipe,insulation_mm,start_c,air_c,fall_c_h,film_w_m2k,first_ice_h,mean_zero_h,half_h,blocked_h")
    for number, case in enumerate(CASES, 1):
        found = run(*case)
        print(f"O{number:02},{','.join(map(str, case))}," + ",".join(f"{found[name]:.5f}" for name in found), flush=True)
