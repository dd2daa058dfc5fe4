//! The carbonate system with its ion pairs: how the totals share themselves out at one pH.

use super::activity::{Activities, DebyeHueckel};
use super::constants::Constants;
use super::{Composition, WaterError, borate, cyanurate};

/// Rounds of activities and pairs before giving up; ordinary water takes four to six.
const ROUNDS: u32 = 400;
/// Relative change at which the rounds have settled.
const SETTLED: f64 = 1e-10;

/// Which total is known beside the pH.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Known {
    /// Alkalinity; inorganic carbon follows.
    Alkalinity,
    /// Inorganic carbon; alkalinity follows.
    InorganicCarbon,
}

/// How a water's totals share themselves out at one pH. Concentrations in mol/kg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speciation {
    /// pH, by activity.
    pub ph: f64,
    /// Ionic strength, mol/kg.
    pub ionic_strength: f64,
    /// Total alkalinity at this pH, eq/kg.
    pub alkalinity: f64,
    /// Alkalinity of the carbonates alone (OH⁻ − H⁺ stays in it), eq/kg.
    pub carbonate_alkalinity: f64,
    /// All inorganic carbon.
    pub inorganic_carbon: f64,
    /// Dissolved CO2.
    pub carbon_dioxide: f64,
    /// Free HCO3⁻.
    pub bicarbonate: f64,
    /// Free CO3²⁻.
    pub carbonate: f64,
    /// Free Ca²⁺.
    pub calcium: f64,
    /// Share of cyanuric acid present as H2Cy⁻.
    pub cyanurate_share: f64,
    /// Share of boron present as B(OH)4⁻.
    pub borate_share: f64,
    /// Share of hypochlorite added that is HOCl.
    pub hypochlorous_share: f64,
    /// log10 of the ion activity product of CaCO3 over calcite's solubility product.
    pub calcite_index: f64,
}

/// The constants and activity law of one temperature.
#[derive(Debug, Clone, Copy)]
pub(super) struct Medium {
    pub constants: Constants,
    pub law: DebyeHueckel,
}

/// Free concentrations that the rounds refine.
#[derive(Debug, Clone, Copy)]
struct Free {
    strength: f64,
    calcium: f64,
    sodium: f64,
    sulfate: f64,
    carbonate: f64,
}

/// Concentration ratios at one round's activities: what each free ion drags along.
#[derive(Debug, Clone, Copy)]
struct Ratios {
    /// HCO3⁻ per CO3²⁻, and CO2 per CO3²⁻.
    bicarbonate: f64,
    dioxide: f64,
    /// Pairs per free cation and free CO3²⁻: as bicarbonate and as carbonate.
    calcium_bicarbonate: f64,
    calcium_carbonate: f64,
    sodium_bicarbonate: f64,
    sodium_carbonate: f64,
    /// Pairs per free cation and free SO4²⁻, and HSO4⁻ per free SO4²⁻.
    calcium_sulfate: f64,
    sodium_sulfate: f64,
    bisulfate: f64,
}

impl Medium {
    /// The medium at a temperature.
    pub(super) fn at(temperature_c: f64) -> Self {
        let constants = Constants::at(temperature_c);
        Self { constants, law: DebyeHueckel::at(constants.kelvin) }
    }

    /// Shares the totals out at a pH, with one total left to find.
    ///
    /// # Errors
    /// Alkalinity that the side systems hold alone; activities that do not settle.
    pub(super) fn speciate(
        &self,
        totals: &Composition,
        ph: f64,
        known: Known,
    ) -> Result<Speciation, WaterError> {
        let h = Composition::proton_activity(ph);
        let sodium = totals.sodium();
        let mut free = Free {
            strength: first_guess_of_strength(totals),
            calcium: totals.calcium,
            sodium,
            sulfate: totals.sulfate,
            carbonate: 0.0,
        };
        for _ in 0..ROUNDS {
            let g = Activities::at(self.law, free.strength);
            let side = Side::of(&self.constants, &g, totals, h);
            let r = Ratios::of(&self.constants, &g, h);
            let next = round(totals, sodium, known, free, &side, &r)?;
            let moved = |a: f64, b: f64| (a - b).abs() > SETTLED * b.abs() + 1e-15;
            let settled = !moved(free.strength, next.strength)
                && !moved(free.sulfate, next.sulfate)
                && !moved(free.carbonate, next.carbonate);
            free = next;
            if settled {
                return Ok(self.speciation(totals, ph, &g, &side, &r, free));
            }
        }
        Err(WaterError::Unsettled)
    }

    /// The settled state, told in full.
    fn speciation(
        &self,
        totals: &Composition,
        ph: f64,
        g: &Activities,
        side: &Side,
        r: &Ratios,
        free: Free,
    ) -> Speciation {
        let x = free.carbonate;
        let bisulfate = r.bisulfate * free.sulfate;
        let carbonate_alkalinity =
            x * r.alkalinity(free) + side.hydroxide - side.hydrogen - bisulfate;
        let activity_product = g.calcium * free.calcium * g.carbonate * x;
        Speciation {
            ph,
            ionic_strength: free.strength,
            alkalinity: carbonate_alkalinity + side.held,
            carbonate_alkalinity,
            inorganic_carbon: x * r.carbon(free),
            carbon_dioxide: x * r.dioxide,
            bicarbonate: x * r.bicarbonate,
            carbonate: x,
            calcium: free.calcium,
            cyanurate_share: side.cyanurate.single,
            borate_share: side.borate_share,
            hypochlorous_share: side.hypochlorous_share,
            calcite_index: if totals.calcium > 0.0 && x > 0.0 {
                activity_product.log10() - self.constants.calcite_log
            } else {
                f64::NEG_INFINITY
            },
        }
    }
}

/// Everything at this pH that is neither carbonate nor sulfate.
#[derive(Debug, Clone, Copy)]
struct Side {
    hydrogen: f64,
    hydroxide: f64,
    cyanurate: cyanurate::CyanurateShares,
    borate_share: f64,
    hypochlorous_share: f64,
    /// Alkalinity held by cyanurate, borate and hypochlorite, eq/kg.
    held: f64,
    /// Half the sum of m z² of all of these, mol/kg.
    strength: f64,
}

impl Side {
    fn of(k: &Constants, g: &Activities, totals: &Composition, h: f64) -> Self {
        let cyanurate = cyanurate::shares(k, g, h);
        let borate_share = borate::share(k, g, h);
        let dissociated = k.hypochlorous * g.neutral / (h * g.single);
        let hypochlorous_share = 1.0 / (1.0 + dissociated);
        let hypochlorite = totals.hypochlorite * (1.0 - hypochlorous_share);
        let borate = totals.boron * borate_share;
        let hydrogen = h / g.hydrogen;
        let hydroxide = k.water / (h * g.hydroxide);
        let single =
            totals.cyanurate * cyanurate.single + borate + hypochlorite + hydrogen + hydroxide;
        Self {
            hydrogen,
            hydroxide,
            cyanurate,
            borate_share,
            hypochlorous_share,
            held: totals.cyanurate * cyanurate.held() + borate + hypochlorite,
            strength: 0.5 * single + 2.0 * totals.cyanurate * cyanurate.double,
        }
    }
}

impl Ratios {
    fn of(k: &Constants, g: &Activities, h: f64) -> Self {
        let bicarbonate = h * g.carbonate / (k.carbonic_second * g.bicarbonate);
        let acid = h * g.carbonate / k.carbonic_second;
        Self {
            bicarbonate,
            dioxide: acid * h / (k.carbonic_first * g.neutral),
            calcium_bicarbonate: k.calcium_bicarbonate * acid * g.calcium / g.calcium_bicarbonate,
            calcium_carbonate: k.calcium_carbonate * g.calcium * g.carbonate / g.neutral,
            sodium_bicarbonate: k.sodium_bicarbonate * acid * g.sodium / g.neutral,
            sodium_carbonate: k.sodium_carbonate * g.sodium * g.carbonate / g.single,
            calcium_sulfate: k.calcium_sulfate * g.calcium * g.sulfate / g.neutral,
            sodium_sulfate: k.sodium_sulfate * g.sodium * g.sulfate / g.bicarbonate,
            bisulfate: k.bisulfate * h * g.sulfate / g.single,
        }
    }

    /// Carbonate alkalinity (without OH⁻ and H⁺) per free CO3²⁻ at the free cations.
    fn alkalinity(&self, free: Free) -> f64 {
        self.bicarbonate
            + 2.0
            + free.calcium * (self.calcium_bicarbonate + 2.0 * self.calcium_carbonate)
            + free.sodium * (self.sodium_bicarbonate + 2.0 * self.sodium_carbonate)
    }

    /// Inorganic carbon per free CO3²⁻ at the free cations.
    fn carbon(&self, free: Free) -> f64 {
        self.dioxide
            + self.bicarbonate
            + 1.0
            + free.calcium * (self.calcium_bicarbonate + self.calcium_carbonate)
            + free.sodium * (self.sodium_bicarbonate + self.sodium_carbonate)
    }
}

/// One round: free carbonate from the known total, then the cations, sulfate and ionic strength.
fn round(
    totals: &Composition,
    sodium: f64,
    known: Known,
    free: Free,
    side: &Side,
    r: &Ratios,
) -> Result<Free, WaterError> {
    let wanted = match known {
        Known::InorganicCarbon => totals.inorganic_carbon,
        Known::Alkalinity => {
            let left = totals.alkalinity - side.held - side.hydroxide
                + side.hydrogen
                + r.bisulfate * free.sulfate;
            if left <= 0.0 {
                let mg = super::CALCIUM_CARBONATE_MG_PER_EQ;
                return Err(WaterError::AlkalinityHeldElsewhere {
                    total_alkalinity: totals.alkalinity * mg,
                    held: (totals.alkalinity - left) * mg,
                });
            }
            left
        }
    };
    let calcium_pairs = r.calcium_bicarbonate + r.calcium_carbonate;
    let sodium_pairs = r.sodium_bicarbonate + r.sodium_carbonate;
    let with = |x: f64| {
        let calcium = totals.calcium / (1.0 + calcium_pairs * x + r.calcium_sulfate * free.sulfate);
        let sodium = sodium / (1.0 + sodium_pairs * x + r.sodium_sulfate * free.sulfate);
        Free { calcium, sodium, carbonate: x, ..free }
    };
    // A fixed point of x = wanted / (its ratio at the cations that x leaves free): each step shrinks
    // the error, and four bring ordinary water to the last digits; the rounds do the rest.
    let mut next = with(free.carbonate);
    for _ in 0..4 {
        let ratio = match known {
            Known::Alkalinity => r.alkalinity(next),
            Known::InorganicCarbon => r.carbon(next),
        };
        next = with(wanted / ratio);
    }
    let bound =
        1.0 + r.calcium_sulfate * next.calcium + r.sodium_sulfate * next.sodium + r.bisulfate;
    next.sulfate = totals.sulfate / bound;
    next.strength = ionic_strength(totals, side, r, next);
    Ok(next)
}

/// Half the sum of m z² of everything dissolved, mol/kg.
fn ionic_strength(totals: &Composition, side: &Side, r: &Ratios, free: Free) -> f64 {
    let x = free.carbonate;
    let s = free.sulfate;
    let single = free.sodium
        + totals.chloride
        + x * (r.bicarbonate
            + free.calcium * r.calcium_bicarbonate
            + free.sodium * r.sodium_carbonate)
        + s * (r.bisulfate + free.sodium * r.sodium_sulfate);
    0.5 * single + 2.0 * (free.calcium + x + s) + side.strength
}

/// Where the rounds start: everything free, alkalinity as single ions.
fn first_guess_of_strength(totals: &Composition) -> f64 {
    0.5 * (totals.chloride + totals.sodium() + totals.alkalinity.abs())
        + 2.0 * (totals.calcium + totals.sulfate)
}
