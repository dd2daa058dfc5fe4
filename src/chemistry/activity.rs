//! Activity coefficients: extended Debye–Hückel with ion sizes (Truesdell & Jones 1974).
//!
//! log10 γ = −A z² √I / (1 + B a √I) + b I, with a and b by ion from phreeqc.dat (USGS TM 6-A43,
//! 2013); ions without a size take the Davies equation, neutral species log10 γ = 0.1 I.

use super::constants::ten_to;

/// The ionic strength up to which the laws are taken, mol/kg; seawater has 0.7.
const STRONGEST: f64 = 1.0;

/// Debye–Hückel's A (kg^½ mol^−½) and B (Å⁻¹ kg^½ mol^−½) at one temperature.
#[derive(Debug, Clone, Copy)]
pub(super) struct DebyeHueckel {
    a: f64,
    b: f64,
}

impl DebyeHueckel {
    /// From the permittivity (Bradley & Pitzer 1979, J. Phys. Chem. 83:1599, at 1 atm) and the
    /// density (Kell 1975, J. Chem. Eng. Data 20:97) of water.
    pub(super) fn at(kelvin: f64) -> Self {
        // e²/(k) in esu² K/erg: 4.803204e-10² / 1.38065e-16.
        let bjerrum_cm = 1.671_008e-3 / (permittivity(kelvin) * kelvin);
        let per_cm =
            (8.0 * std::f64::consts::PI * 6.022_14e23 * bjerrum_cm * density_g_cm3(kelvin)
                / 1_000.0)
                .sqrt();
        Self { a: per_cm * bjerrum_cm / (2.0 * std::f64::consts::LN_10), b: per_cm * 1e-8 }
    }
}

/// Relative permittivity of water at 1 atm. Bradley & Pitzer 1979.
fn permittivity(t: f64) -> f64 {
    let at_1000_bar = 342.79 * (t * (-5.086_6e-3 + t * 9.469e-7)).exp();
    let c = -2.052_5 + 3_115.9 / (t - 182.89);
    let b = -8_032.5 + 4.214_52e6 / t + 2.141_7 * t;
    at_1000_bar + c * ((b + 1.013_25) / (b + 1_000.0)).ln()
}

/// Density of water, g/cm³. Kell 1975, 0–150 °C.
fn density_g_cm3(kelvin: f64) -> f64 {
    let t = kelvin - 273.15;
    let powers = 999.839_52
        + t * (16.945_176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 - t * 280.542_53e-12))));
    powers / (1.0 + 16.879_850e-3 * t) / 1_000.0
}

/// Activity coefficients of everything in the water, at one ionic strength.
#[derive(Debug, Clone, Copy)]
pub(super) struct Activities {
    pub hydrogen: f64,
    pub hydroxide: f64,
    pub calcium: f64,
    pub sodium: f64,
    /// HCO3⁻, and every other ion of charge one with its size (NaSO4⁻).
    pub bicarbonate: f64,
    pub carbonate: f64,
    pub calcium_bicarbonate: f64,
    pub sulfate: f64,
    /// Any ion of charge one without a size of its own (Davies): H2Cy⁻, B(OH)4⁻, OCl⁻, NaCO3⁻.
    pub single: f64,
    /// Any ion of charge two without a size of its own: HCy²⁻.
    pub double: f64,
    /// Any neutral species.
    pub neutral: f64,
}

impl Activities {
    /// All coefficients at ionic strength `i`, mol/kg. Beyond [`STRONGEST`] they stay as there: no pool
    /// is that salty, but a solver's trial pH may be that acid.
    pub(super) fn at(law: DebyeHueckel, i: f64) -> Self {
        let i = i.clamp(0.0, STRONGEST);
        let root = i.sqrt();
        let sized = |charge_squared: f64, size: f64, b: f64| {
            ten_to(-law.a * charge_squared * root / (1.0 + law.b * size * root) + b * i)
        };
        let bicarbonate = sized(1.0, 5.4, 0.0);
        // Davies's linear term turns the coefficient upwards beyond the salinity of pools.
        let single = ten_to(-law.a * (root / (1.0 + root) - 0.3 * i));
        let fourth = |x: f64| (x * x) * (x * x);
        Self {
            hydrogen: sized(1.0, 9.0, 0.0),
            hydroxide: sized(1.0, 3.5, 0.0),
            calcium: sized(4.0, 5.0, 0.165),
            sodium: sized(1.0, 4.08, 0.082),
            bicarbonate,
            carbonate: fourth(bicarbonate),
            calcium_bicarbonate: sized(1.0, 6.0, 0.0),
            sulfate: sized(4.0, 5.0, -0.04),
            single,
            double: fourth(single),
            neutral: ten_to(0.1 * i),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A of the Davies equation by temperature, FACTS B16 (computed from Harned & Owen 1958); the
    /// permittivities differ by up to 0.8 % between the two sources.
    #[test]
    fn a_by_temperature() {
        for (c, want) in [(0.0, 0.489), (10.0, 0.497), (25.0, 0.510), (40.0, 0.524)] {
            let got = DebyeHueckel::at(c + 273.15).a;
            assert!((got - want).abs() < 0.005, "{c} °C: {got} against {want}");
        }
    }

    /// Density of water: 0.999840 at 0 °C, 0.997047 at 25 °C (Kell 1975, table; from memory).
    #[test]
    fn density_of_water() {
        assert!((density_g_cm3(273.15) - 0.999_840).abs() < 1e-5);
        assert!((density_g_cm3(298.15) - 0.997_047).abs() < 1e-5);
    }

    /// Permittivity of water at 25 °C: 78.4 (CRC Handbook, from memory: 78.4).
    #[test]
    fn permittivity_of_water() {
        assert!((permittivity(298.15) - 78.38).abs() < 0.05);
    }
}
