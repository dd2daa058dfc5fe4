//! Equilibrium constants by temperature, each with its source.
//!
//! Constants are natural logarithms inside, so that a constant costs one `exp`.

use std::f64::consts::LN_10;

/// 0 °C in kelvin.
const ZERO_CELSIUS_K: f64 = 273.15;
/// 25 °C in kelvin, where most constants were measured.
pub(super) const REFERENCE_K: f64 = 298.15;
/// Gas constant in kcal per mole and kelvin (CODATA 2018: 8.314462618 J).
const GAS_CONSTANT_KCAL: f64 = 8.314_462_618 / 4_184.0;

/// Degrees Celsius as kelvin.
pub(super) fn kelvin(temperature_c: f64) -> f64 {
    temperature_c + ZERO_CELSIUS_K
}

/// Ten to the power of `x`.
pub(super) fn ten_to(x: f64) -> f64 {
    (x * LN_10).exp()
}

/// The thermodynamic constants of one temperature (activities; mol per kg of water).
#[derive(Debug, Clone, Copy)]
pub(super) struct Constants {
    /// Temperature, K.
    pub kelvin: f64,
    /// Kw, H2O ⇌ H⁺ + OH⁻.
    pub water: f64,
    /// K1, CO2(aq) + H2O ⇌ HCO3⁻ + H⁺.
    pub carbonic_first: f64,
    /// K2, HCO3⁻ ⇌ CO3²⁻ + H⁺.
    pub carbonic_second: f64,
    /// log10 of the solubility product of calcite.
    pub calcite_log: f64,
    /// Ca²⁺ + HCO3⁻ ⇌ CaHCO3⁺.
    pub calcium_bicarbonate: f64,
    /// Ca²⁺ + CO3²⁻ ⇌ CaCO3°.
    pub calcium_carbonate: f64,
    /// Na⁺ + HCO3⁻ ⇌ NaHCO3°.
    pub sodium_bicarbonate: f64,
    /// Na⁺ + CO3²⁻ ⇌ NaCO3⁻.
    pub sodium_carbonate: f64,
    /// Ca²⁺ + SO4²⁻ ⇌ CaSO4°.
    pub calcium_sulfate: f64,
    /// Na⁺ + SO4²⁻ ⇌ NaSO4⁻.
    pub sodium_sulfate: f64,
    /// SO4²⁻ + H⁺ ⇌ HSO4⁻.
    pub bisulfate: f64,
    /// H3Cy ⇌ H2Cy⁻ + H⁺.
    pub cyanuric_first: f64,
    /// H2Cy⁻ ⇌ HCy²⁻ + H⁺.
    pub cyanuric_second: f64,
    /// B(OH)3 + H2O ⇌ B(OH)4⁻ + H⁺.
    pub boric: f64,
    /// HOCl ⇌ OCl⁻ + H⁺.
    pub hypochlorous: f64,
}

impl Constants {
    /// All constants at a temperature.
    pub(super) fn at(temperature_c: f64) -> Self {
        let t = kelvin(temperature_c);
        let log_t = t.log10();
        Self {
            kelvin: t,
            water: ten_to(log_water(t, log_t)),
            carbonic_first: ten_to(log_carbonic_first(t, log_t)),
            carbonic_second: ten_to(log_carbonic_second(t, log_t)),
            calcite_log: log_calcite(t, log_t),
            calcium_bicarbonate: ten_to(log_calcium_bicarbonate(t, log_t)),
            calcium_carbonate: ten_to(log_calcium_carbonate(t, log_t)),
            // Ion pairs and boric acid: the database phreeqc.dat of PHREEQC 3 (US Geological Survey,
            // Techniques and Methods 6-A43, 2013), log K at 25 °C and enthalpy in kcal/mol.
            sodium_bicarbonate: van_t_hoff(-0.25, -1.0, t),
            sodium_carbonate: van_t_hoff(1.27, 8.91, t),
            calcium_sulfate: van_t_hoff(2.25, 1.325, t),
            sodium_sulfate: van_t_hoff(0.7, 1.12, t),
            bisulfate: ten_to(-56.889 + 0.006_473 * t + 2_307.9 / t + 19.885_8 * log_t),
            cyanuric_first: ten_to(-pk_cyanuric_first(t)),
            cyanuric_second: ten_to(-PK_CYANURIC_SECOND),
            boric: van_t_hoff(-9.24, 3.224, t),
            hypochlorous: ten_to(-pk_hypochlorous(t)),
        }
    }
}

/// A constant moved from 25 °C by its enthalpy, kcal/mol.
fn van_t_hoff(log_k: f64, enthalpy_kcal: f64, t: f64) -> f64 {
    let ln_k = log_k * LN_10 + enthalpy_kcal / GAS_CONSTANT_KCAL * (1.0 / REFERENCE_K - 1.0 / t);
    ln_k.exp()
}

/// log10 Kw. The expression of phreeqc.dat (USGS TM 6-A43, 2013); −13.995 at 25 °C.
fn log_water(t: f64, log_t: f64) -> f64 {
    293.292_27 + 0.136_083_3 * t - 10_576.913 / t - 123.731_58 * log_t - 6.996_455e-5 * t * t
}

/// log10 K1. Plummer & Busenberg 1982, Geochim. Cosmochim. Acta 46:1011, 0–90 °C.
pub(super) fn log_carbonic_first(t: f64, log_t: f64) -> f64 {
    -356.309_4 - 0.060_919_64 * t + 21_834.37 / t + 126.833_9 * log_t - 1_684_915.0 / (t * t)
}

/// log10 K2. Plummer & Busenberg 1982.
pub(super) fn log_carbonic_second(t: f64, log_t: f64) -> f64 {
    -107.887_1 - 0.032_528_49 * t + 5_151.79 / t + 38.925_61 * log_t - 563_713.9 / (t * t)
}

/// log10 KH, mol/(kg atm). Plummer & Busenberg 1982.
pub(super) fn log_henry(t: f64, log_t: f64) -> f64 {
    108.386_5 + 0.019_850_76 * t - 6_919.53 / t - 40.451_54 * log_t + 669_365.0 / (t * t)
}

/// log10 of calcite's solubility product. Plummer & Busenberg 1982; −8.480 at 25 °C.
pub(super) fn log_calcite(t: f64, log_t: f64) -> f64 {
    -171.906_5 - 0.077_993 * t + 2_839.319 / t + 71.595 * log_t
}

/// log10 K of CaHCO3⁺. Plummer & Busenberg 1982; 1.11 at 25 °C.
fn log_calcium_bicarbonate(t: f64, log_t: f64) -> f64 {
    1_209.120 + 0.312_94 * t - 34_765.05 / t - 478.782 * log_t
}

/// log10 K of CaCO3°. Plummer & Busenberg 1982; 3.22 at 25 °C.
fn log_calcium_carbonate(t: f64, log_t: f64) -> f64 {
    -1_228.732 - 0.299_444 * t + 35_512.75 / t + 485.818 * log_t
}

/// pK of the first ionisation of cyanuric acid. Wahman 2018, Environ. Sci.: Water Res. Technol.
/// 4:1522, ionic strength 0, 5–35 °C; beyond, extrapolated.
pub(super) fn pk_cyanuric_first(t: f64) -> f64 {
    1_743.0 / t + 1.12
}

/// pK of the second ionisation of cyanuric acid. O'Brien, Morris & Butler 1974, 25 °C.
const PK_CYANURIC_SECOND: f64 = 11.40;

/// pK of hypochlorous acid. Morris 1966, J. Phys. Chem. 70:3798, 5–35 °C; 7.54 at 25 °C.
pub(super) fn pk_hypochlorous(t: f64) -> f64 {
    3_000.0 / t - 10.068_6 + 0.025_3 * t
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FACTS B14, computed from Plummer & Busenberg 1982, printed to three places.
    #[test]
    fn plummer_and_busenberg_at_the_printed_temperatures() {
        let rows = [
            (0.0, -6.579, -10.629, -1.108, -8.381),
            (5.0, -6.516, -10.554, -1.192, -8.394),
            (15.0, -6.419, -10.428, -1.341, -8.430),
            (25.0, -6.352, -10.329, -1.468, -8.480),
            (40.0, -6.297, -10.222, -1.625, -8.580),
        ];
        for (c, k1, k2, kh, kc) in rows {
            let t = kelvin(c);
            let l = t.log10();
            for (got, want) in [
                (log_carbonic_first(t, l), k1),
                (log_carbonic_second(t, l), k2),
                (log_henry(t, l), kh),
                (log_calcite(t, l), kc),
            ] {
                assert!((got - want).abs() < 0.0011, "{c} °C: {got} against {want}");
            }
        }
    }

    /// Ion pairs at 25 °C as printed by Plummer & Busenberg 1982: 1.11 and 3.22.
    #[test]
    fn calcium_pairs_at_25() {
        let l = REFERENCE_K.log10();
        assert!((log_calcium_bicarbonate(REFERENCE_K, l) - 1.11).abs() < 0.01);
        assert!((log_calcium_carbonate(REFERENCE_K, l) - 3.22).abs() < 0.01);
    }

    /// pKw: 14.94 at 0 °C and 13.995 at 25 °C (Harned & Owen 1958, from memory).
    #[test]
    fn ion_product_of_water() {
        for (c, want) in [(0.0, -14.94), (25.0, -13.995)] {
            let t = kelvin(c);
            assert!((log_water(t, t.log10()) - want).abs() < 0.02);
        }
    }
}
