//! Worked examples and tables of handbooks and public bodies, beside what the program computes.
//! The source stands beside each; *from memory* and *computed* are said where they hold.

use brumal::thermal::{
    Body, Content, Cover, Exposure, HeatPump, Layer, Material, Pool, PoolHour, Quick, Shape,
    dew_point_c, estimate, evaporation_kg_s_m2, fuel_kwh, gas_heater_output_kw, heat_pump_cop,
    heating_kwh, latent_heat_kj_kg, pool_losses, scaled_flow, scaled_power_kw, sky_temperature_c,
    stefan_thickness_mm, vapour_pressure_kpa,
};

use crate::reference_cold::close;

const INCH_M: f64 = 0.0254;
/// Btu·in/(h·ft²·°F) in W/(m K).
const BTU_IN: f64 = 0.144_228;
/// Btu/(h·ft²·°F) in W/(m² K), and Btu/(h·ft²) in W/m².
const BTU_FILM: f64 = 5.678_26;
const BTU_FLUX: f64 = 3.154_59;

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// A steel pipe in insulation of `k` Btu·in; neither wall nor film, as the published form has it.
fn insulated(nominal: (f64, f64), thickness_in: f64, k: f64) -> Body {
    let (outside, inside) = nominal;
    let wall = Material { conductivity_w_m_k: 1e9, density_kg_m3: 1.0, heat_j_kg_k: 1.0 };
    let foam = Material { conductivity_w_m_k: k * BTU_IN, density_kg_m3: 1.0, heat_j_kg_k: 1.0 };
    Body {
        shape: Shape::Cylinder,
        inner_m: inside / 2.0 * INCH_M,
        wall: Layer { thickness_m: (outside - inside) / 2.0 * INCH_M, material: wall },
        insulation: Some(Layer { thickness_m: thickness_in * INCH_M, material: foam }),
        content: Content::water(),
    }
}

/// Outside and inside diameters of steel pipe, schedule 40, in (ASME B36.10M).
const TWO: (f64, f64) = (2.375, 2.067);
const SIZES: [(f64, f64); 5] = [(0.840, 0.622), (1.315, 1.049), (1.900, 1.610), TWO, (3.5, 3.068)];

#[test]
fn time_to_freezing_is_the_published_one() {
    // ASHRAE Handbook Fundamentals 2009, chapter 23, equation 1; worked by a forensic engineer
    // (2014): 2 in pipe, 1.5 in of k 0.30, water 42 °F: 1.4 h at −18 °F, 4.6 h at 20 °F.
    let pipe = insulated(TWO, 1.5, 0.30);
    for (air, hours) in [(-18.0, 1.4), (20.0, 4.6)] {
        let got = pipe.lumped_cool_h(celsius(42.0), celsius(air), 1e9).unwrap();
        close("ASHRAE", "hours", got, hours, 0.02);
    }
}

#[test]
fn the_table_of_pipe_sizes_and_insulation_comes_out() {
    // The same form computed apart (FACTS E6 and E7, computed): ½ to 3 in pipe, ½ to 2 in foam.
    let at_minus_18 = [
        [0.12, 0.19, 0.23, 0.27],
        [0.25, 0.40, 0.52, 0.61],
        [0.43, 0.74, 0.97, 1.16],
        [0.59, 1.03, 1.38, 1.67],
        [0.93, 1.68, 2.30, 2.83],
    ];
    for (size, row) in SIZES.iter().zip(at_minus_18) {
        for (thickness, want) in [0.5, 1.0, 1.5, 2.0].into_iter().zip(row) {
            let got = insulated(*size, thickness, 0.30)
                .lumped_cool_h(celsius(42.0), celsius(-18.0), 1e9)
                .unwrap();
            assert!((got - want).abs() < 0.011 + 0.01 * want, "{size:?} {thickness}: {got} {want}");
        }
    }
}

#[test]
fn bare_two_inch_pvc_in_still_air_and_wind() {
    // FACTS E8 (computed, lumped, k 1.3 Btu·in): water 42 to 32 °F.
    let pvc =
        Material { conductivity_w_m_k: 1.3 * BTU_IN, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
    let pipe = Body::pipe(60.325, 0.154 * 25.4, pvc, None);
    for (film, rows) in [
        (1.65, [(28.0, 2.2), (20.0, 1.0), (10.0, 0.6)]),
        (6.0, [(28.0, 0.86), (20.0, 0.42), (10.0, 0.26)]),
    ] {
        for (air, want) in rows {
            let got = pipe.lumped_cool_h(celsius(42.0), celsius(air), film * BTU_FILM).unwrap();
            // Half a unit of the last digit given there.
            let rounding = if want < 1.0 && film > 2.0 { 0.006 } else { 0.05 };
            assert!((got - want).abs() <= rounding, "{film} {air}: {got} {want}");
        }
    }
}

#[test]
fn the_twenty_degree_threshold_is_no_threshold_for_a_pool_pad() {
    // Gordon 1996 (Building Research Council, University of Illinois) gives 20 °F of outdoor air
    // as the alert for uninsulated pipe in an unconditioned *indoor* space. A 1½ in PVC return in
    // the open reaches 0 °C in well under two hours at 20 °F, and does so at 28 °F too: pool pipe
    // needs action near 32 °F, not 20 °F.
    let pvc = Material { conductivity_w_m_k: 0.19, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
    let open = Body::pipe(48.26, 3.683, pvc, None);
    let hours = |air: f64, wind: f64| {
        estimate(&open, &Exposure::open(celsius(air), wind, 5.0)).cool_h.unwrap()
    };
    assert!(hours(20.0, 4.0) < 1.0, "{}", hours(20.0, 4.0));
    assert!(hours(28.0, 4.0) < 2.0, "{}", hours(28.0, 4.0));
    assert!(hours(28.0, 0.5) < 4.0, "{}", hours(28.0, 0.5));
    // What the note weather-words#twenty-degrees-and-house-pipes tells of this pipe, in minutes.
    for (air, best, low, high) in [(20.0, 20.0, 10.0, 30.0), (28.0, 40.0, 25.0, 60.0)] {
        let told = estimate(&open, &Exposure::open(celsius(air), 4.0, 5.0));
        let near = |hours: Option<f64>, minutes: f64| (hours.unwrap() * 60.0 - minutes).abs() < 4.0;
        assert!(near(told.cool_h, best), "{air}: {told:?}");
        assert!(near(told.cool_low_h, low) && near(told.cool_high_h, high), "{air}: {told:?}");
    }
    // Indoors, in an attic that lags the cold (say 8 K warmer than outdoors, still air), the same
    // pipe at 20 °F outdoors isn't below freezing at all: the two don't contradict each other.
    let attic = estimate(&open, &Exposure::open(celsius(20.0) + 8.0, 0.1, 15.0));
    assert_eq!(attic.cool_h, None);
}

#[test]
fn ice_by_freezing_degree_days_stays_under_the_bound() {
    // CRREL TN 04-3: h = C √(°F day), C 0.8 in windy without snow; 25 °F·d gives 4.0 in.
    let practice = 0.8 * 25.0f64.sqrt();
    assert!((practice - 4.0).abs() < 1e-9);
    let bound = stefan_thickness_mm(-25.0 / 1.8, 24.0) / 25.4;
    close("Stefan", "25 °F d", bound, 1.04 * 5.0, 0.005);
    assert!(practice < bound);
}

#[test]
fn evaporation_is_the_handbooks() {
    // (95 + 0.425 v)(pw − pa)/Y, v ft/min, inHg, Btu/lb (ASHRAE, as stated by Smith, Löf & Jones
    // 1998, ASHRAE Transactions 104). 80 °F water, 60 °F air at 50 %, 5 mph: 0.207 lb/(h ft²),
    // 217 Btu/(h ft²); winter: 45 °F water, 30 °F air at 60 %: 56 Btu/(h ft²) (FACTS F19, F20).
    let rate = |water: f64, air: f64, humidity: f64| {
        evaporation_kg_s_m2(celsius(water), celsius(air), humidity, 2.2352, 1.0)
    };
    let summer = rate(80.0, 60.0, 0.5);
    close("F19", "lb/h ft²", summer * 3600.0 / 4.882_43, 0.207, 0.02);
    close(
        "F19",
        "Btu/h ft²",
        summer * latent_heat_kj_kg(celsius(80.0)) * 1e3 / BTU_FLUX,
        217.0,
        0.02,
    );
    let winter = rate(45.0, 30.0, 0.6) * latent_heat_kj_kg(celsius(45.0)) * 1e3 / BTU_FLUX;
    close("F20", "Btu/h ft²", winter, 56.0, 0.03);
}

#[test]
fn the_losses_of_a_night_split_as_measured() {
    // Jones, Smith & Löf 1992 (Fort Collins, unoccupied outdoor pool, overnight): 56 % evaporation,
    // 26 % radiation, 18 % convection. The night's weather is not given there: a plain clear summer
    // night is taken (27 °C water, 15 °C air at 50 %, 1 m/s), with the evaporation measured there
    // (72 to 84 % of the ASHRAE form).
    let pool = Pool {
        area_m2: 50.0,
        volume_l: 75_000.0,
        ground_area_m2: 90.0,
        ground_w_m2k: 0.0,
        ground_c: 10.0,
        activity: 0.75,
        convection: 0.75,
        wind_share: 1.0,
        make_up_c: 27.0,
        cover: Cover::NONE,
        pump_w: 0.0,
        heater_w: 0.0,
        hold_c: 0.0,
    };
    let hour = PoolHour {
        air_c: 15.0,
        humidity: 0.5,
        wind_m_s: 1.0,
        sky_c: sky_temperature_c(15.0, 0.5, 0.0),
        sun_w_m2: 0.0,
        rain_mm: 0.0,
        snow_mm: 0.0,
    };
    let losses = pool_losses(&pool, 27.0, &hour);
    let total = losses.surface_w_m2();
    for (share, want) in [
        (losses.evaporation_w_m2, 0.56),
        (losses.longwave_w_m2, 0.26),
        (losses.convection_w_m2, 0.18),
    ] {
        assert!((share / total - want).abs() < 0.06, "{} {want}", share / total);
    }
}

#[test]
fn water_evaporated_takes_what_the_department_of_energy_says() {
    // DOE, Energy Savers, pool heat pumps fact sheet 2004: a pound of 80 °F water takes 1,048 Btu;
    // 1,000 ft² × 1 in is 625 gal, about 50 therms (its own rounding: 54.6 by the pound).
    let per_pound = latent_heat_kj_kg(celsius(80.0)) / 2.326;
    close("F9", "Btu/lb", per_pound, 1048.0, 0.003);
    let therms = 625.0 * 8.34 * per_pound / 1e5;
    assert!((49.0..56.0).contains(&therms), "{therms}");
}

#[test]
fn vapour_pressure_is_the_steam_tables() {
    // IAPWS steam tables (from memory): 0.6113 kPa at 0.01 °C, 1.2281 at 10, 2.3392 at 20,
    // 4.2470 at 30 °C.
    for (t, p) in [(0.01, 0.6113), (10.0, 1.2281), (20.0, 2.3392), (30.0, 4.2470)] {
        close("steam", "kPa", vapour_pressure_kpa(t), p, 0.004);
    }
    close("dew point", "°C", dew_point_c(20.0, 0.5), 9.3, 0.01);
}

#[test]
fn the_sky_is_up_to_twenty_kelvin_below_the_air() {
    // A solar-energy text after ISO: sky temperature from Ta (cloudy) to Ta − 20 K (clear).
    for (air, humidity) in [(-10.0, 0.7), (0.0, 0.8), (10.0, 0.6)] {
        let clear = air - sky_temperature_c(air, humidity, 0.0);
        let cloudy = air - sky_temperature_c(air, humidity, 1.0);
        assert!((5.0..20.0).contains(&clear), "{air}: {clear}");
        assert!((-0.1..10.0).contains(&cloudy) && cloudy < 0.6 * clear, "{air}: {cloudy}");
    }
}

#[test]
fn heaters_and_pumps_follow_the_worked_examples() {
    // DOE, Energy Saver, gas pool heaters: 720 ft² × 25 °F × 12 = 216,000 Btu/h.
    let kw = gas_heater_output_kw(720.0 * 0.092_903_04, 25.0 / 1.8);
    close("F15", "Btu/h", kw / 0.293_071e-3, 216_000.0, 1e-3);
    // 10,000 gal by 1 °F: 83,400 Btu, 24.4 kWh; 1.02 therm at 82 %; 6.1 kWh at COP 4 (FACTS F18).
    let heat = heating_kwh(37_854.0, 1.0 / 1.8);
    close("F18", "kWh", heat, 24.4, 0.01);
    close("F18", "therm", fuel_kwh(heat, 0.82) / 29.307, 1.02, 0.01);
    close("F18", "kWh at COP 4", fuel_kwh(heat, 4.0), 6.1, 0.01);
    // Affinity laws, handbook example: 1,750 rpm 100 gpm 5 bhp → 3,500 rpm 200 gpm 40 bhp.
    close("G9", "gpm", scaled_flow(100.0, 2.0), 200.0, 1e-9);
    close("G9", "bhp", scaled_power_kw(5.0, 2.0, 0.0), 40.0, 1e-9);
    // DOE: heat pumps of COP 3–7 rated at 80 °F, of use down to 45–50 °F of air.
    let pump = HeatPump { rated_cop: 5.5, rated_air_c: 26.7, lost_per_k: 0.1, stops_below_c: 7.2 };
    assert_eq!(heat_pump_cop(&pump, celsius(40.0)), None);
    let cool = heat_pump_cop(&pump, celsius(50.0)).unwrap();
    assert!((3.0..5.5).contains(&cool), "{cool}");
}

#[test]
fn insulation_thinner_than_the_critical_radius_hurts_and_is_said_to() {
    // Incropera & DeWitt, section 3.3.1 (from memory): r = k/h.
    let pvc = Material { conductivity_w_m_k: 0.19, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
    let poor = Material { conductivity_w_m_k: 0.17, density_kg_m3: 1.0, heat_j_kg_k: 1.0 };
    let tube =
        |thickness_m| Body::pipe(10.0, 1.0, pvc, Some(Layer { thickness_m, material: poor }));
    let film = 8.0;
    let critical = tube(0.001).critical_radius_m(film);
    assert!((critical - 0.02125).abs() < 1e-5);
    let hours = |body: &Body| Quick::new(body, film).freeze_through_h(-5.0).unwrap();
    assert!(hours(&tube(0.004)) < hours(&Body::pipe(10.0, 1.0, pvc, None)));
    assert!(hours(&tube(0.020)) > hours(&tube(0.016)));
}
