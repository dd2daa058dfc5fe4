//! Freezing against the independent reference runs of tests/reference (README_freeze.md there says
//! what each column assumes: numpy, scipy and the general heat-transfer library `ht` 1.2.0).

use brumal::thermal::{
    Body, Content, Exposure, Layer, Material, MovingRun, Outside, Quick, Run, Shape, Stirring,
    dry_air, estimate, forced_film_w_m2k, least_flow_l_min, radiative_film_w_m2k,
    snow_ice_thickness_mm, stefan_thickness_mm,
};

use crate::reference_water::{Row, rows};

/// Constants of README_freeze.md.
const PVC: Material =
    Material { conductivity_w_m_k: 0.19, density_kg_m3: 1400.0, heat_j_kg_k: 1000.0 };
const COPPER: Material =
    Material { conductivity_w_m_k: 340.0, density_kg_m3: 8940.0, heat_j_kg_k: 385.0 };
const FOAM: Material =
    Material { conductivity_w_m_k: 0.036, density_kg_m3: 35.0, heat_j_kg_k: 1400.0 };

fn pipe(row: &Row) -> Body {
    let insulation = row.given("insulation_mm");
    let insulation =
        (insulation > 0.0).then(|| Layer { thickness_m: insulation / 1000.0, material: FOAM });
    let (outside, wall, material) = match row.text("pipe").unwrap() {
        "pvc40_1.5in" => (1.900, 0.145, PVC),
        "pvc40_2in" => (2.375, 0.154, PVC),
        "copperL_1in" => (1.125, 0.050, COPPER),
        other => panic!("a pipe not described: {other}"),
    };
    Body::pipe(outside * 25.4, wall * 25.4, material, insulation)
}

#[track_caller]
pub(crate) fn close(id: &str, what: &str, got: f64, want: f64, share: f64) {
    let off = (got - want).abs() / want.abs().max(1e-12);
    assert!(off <= share, "{id} {what}: got {got}, want {want} (off {:.3} %)", off * 100.0);
}

fn film(row: &Row, body: &Body) -> f64 {
    forced_film_w_m2k(
        body.outside_diameter_m(),
        row.given("wind_m_s"),
        row.given("ambient_c") / 2.0,
    )
}

#[test]
fn films_resistances_and_the_lumped_form_agree_with_the_reference() {
    let table = rows("freeze_time_shared.csv");
    assert!(table.len() >= 42);
    for row in table {
        let (id, body) = (row.text("id").unwrap(), pipe(&row));
        let (air, start) = (row.given("ambient_c"), row.given("start_c"));
        let film = film(&row, &body);
        close(id, "film", film, row.given("film_w_m2k"), 0.001);
        close(id, "wall", body.wall_resistance(), row.given("r_wall"), 0.001);
        close(id, "total", body.total_resistance(film), row.given("r_total"), 0.001);
        let with = film + radiative_film_w_m2k(air / 2.0);
        close(id, "film with radiation", with, row.given("film_rad_w_m2k"), 0.001);
        let cool = body.lumped_cool_h(start, air, film).unwrap();
        close(id, "cool_h", cool, row.given("cool_h"), 0.001);
        let wall = body.lumped_cool_with_wall_h(start, air, film).unwrap();
        close(id, "cool_with_wall_h", wall, row.given("cool_with_wall_h"), 0.002);
        let latent = body.quasi_steady_freeze_h(air, film).unwrap();
        close(id, "latent_h", latent, row.given("latent_h"), 0.001);
        close(id, "blocked_h", cool + latent, row.given("blocked_h"), 0.001);
        let rad = body.lumped_cool_h(start, air, with).unwrap();
        close(id, "cool_rad_h", rad, row.given("cool_rad_h"), 0.001);
    }
}

fn run(stirring: Stirring) -> Run {
    Run { cells: 120, steps: 300, stirring, horizon_h: 2000.0 }
}

#[test]
fn the_enthalpy_run_agrees_with_the_independent_runs() {
    let (mut compared, mut worst) = (0, 0.0f64);
    for row in rows("freeze_time_shared.csv") {
        if row.number("num_mixed_blocked_h").is_none() {
            continue;
        }
        compared += 1;
        let (id, body) = (row.text("id").unwrap(), pipe(&row));
        let outside =
            Outside { surroundings_c: row.given("ambient_c"), film_w_m2k: film(&row, &body) };
        let rest = body.freeze(row.given("start_c"), run(Stirring::Rest), |_| outside);
        let mixed = body.freeze(row.given("start_c"), run(Stirring::Mixed(100.0)), |_| outside);
        for (what, got, column) in [
            ("rest, first ice", rest.first_ice_h, "num_cond_first_ice_h"),
            ("rest, mean at zero", rest.mean_zero_h, "num_cond_bulk0_h"),
            ("rest, half", rest.half_h, "num_cond_half_h"),
            ("rest, blocked", rest.blocked_h, "num_cond_blocked_h"),
            ("mixed, first ice", mixed.first_ice_h, "num_mixed_first_ice_h"),
            ("mixed, half", mixed.half_h, "num_mixed_half_h"),
            ("mixed, blocked", mixed.blocked_h, "num_mixed_blocked_h"),
        ] {
            let want = row.given(column);
            close(id, what, got.expect(what), want, 0.05);
            worst = worst.max((got.unwrap() / want - 1.0).abs());
        }
        for one in [rest, mixed] {
            assert!(one.energy_error < 1e-6, "{id}: energy off by {}", one.energy_error);
        }
    }
    println!("{compared} rows, worst {:.2} %", worst * 100.0);
    assert!(compared >= 14, "{compared}");
}

/// `freeze_own.csv`: explicit steps in time with the latent heat as extra heat capacity, in Python (`freeze_own.py` says how).
/// It shares no method with the enthalpy run, goes to other pipes and films, and lets the air fall by the hour.
#[test]
fn the_enthalpy_run_agrees_with_an_explicit_scheme_of_another_kind() {
    let table = rows("freeze_own.csv");
    assert!(table.len() >= 12, "{}", table.len());
    let mut worst = 0.0f64;
    for row in table {
        let id = row.text("id").unwrap();
        let (outside, wall) = match row.text("pipe").unwrap() {
            "pvc40_1.5in" => (1.900, 0.145),
            "pvc40_2in" => (2.375, 0.154),
            "pvc40_3in" => (3.500, 0.216),
            other => panic!("a pipe not described: {other}"),
        };
        let insulation = row.given("insulation_mm");
        let foam =
            (insulation > 0.0).then(|| Layer { thickness_m: insulation / 1000.0, material: FOAM });
        let body = Body::pipe(outside * 25.4, wall * 25.4, PVC, foam);
        let (air, fall, film) =
            (row.given("air_c"), row.given("fall_c_h"), row.given("film_w_m2k"));
        let outside = |hours: f64| Outside { surroundings_c: air - fall * hours, film_w_m2k: film };
        let found = body.freeze(row.given("start_c"), run(Stirring::Rest), outside);
        for (what, got, column, share) in [
            ("first ice", found.first_ice_h, "first_ice_h", 0.05),
            ("half", found.half_h, "half_h", 0.02),
            ("blocked", found.blocked_h, "blocked_h", 0.02),
        ] {
            let (got, want) = (got.expect(what), row.given(column));
            // "First ice" is that of the cell at the wall, and cells differ in width: half a minute is within that.
            if (got - want).abs() * 3600.0 > 30.0 {
                close(id, what, got, want, share);
            }
            worst = worst.max((got / want - 1.0).abs() * f64::from(u8::from(what != "first ice")));
        }
    }
    println!("half and blocked, worst {:.2} %", worst * 100.0);
}

#[test]
fn a_slab_freezes_as_neumann_says() {
    // Two-phase Neumann solution (Carslaw & Jaeger 1959, section 11.2), as tabulated.
    for row in rows("slab_neumann_shared.csv") {
        let id = row.text("id").unwrap();
        let depth_m = row.given("front_mm") / 1000.0 * 12.0;
        let slab = Body {
            shape: Shape::Slab,
            inner_m: depth_m,
            wall: Layer { thickness_m: 0.0, material: PVC },
            insulation: None,
            content: Content::water(),
        };
        let run = Run {
            cells: 1500,
            steps: 1200,
            stirring: Stirring::Rest,
            horizon_h: row.given("hours"),
        };
        let end = slab.freeze_from_face(row.given("start_c"), run, row.given("face_c"));
        close(id, "front", end.front_m * 1000.0, row.given("front_mm"), 0.01);
        assert!(end.energy_error < 1e-6, "{id}: {}", end.energy_error);
    }
}

#[test]
fn the_quick_model_stands_within_its_stated_error_of_the_full_runs() {
    let (mut compared, mut first, mut blocked) = (0, 0.0f64, 0.0f64);
    for row in rows("freeze_time_shared.csv") {
        let (Some(ice), Some(through)) =
            (row.number("num_mixed_first_ice_h"), row.number("num_mixed_blocked_h"))
        else {
            continue;
        };
        compared += 1;
        let body = pipe(&row);
        let quick = Quick::new(&body, film(&row, &body));
        let cool = quick.cool_h(row.given("start_c"), row.given("ambient_c")).unwrap();
        let full = cool + quick.freeze_through_h(row.given("ambient_c")).unwrap();
        first = first.max((cool / ice - 1.0).abs());
        blocked = blocked.max((full / through - 1.0).abs());
    }
    assert!(compared >= 14, "{compared}");
    assert!(first < 0.035, "first ice off by {first}");
    assert!(blocked < 0.01, "blocked off by {blocked}");
}

#[test]
fn slabs_and_balls_freeze_as_the_full_run_says() {
    for (shape, inner_m) in
        [(Shape::Slab, 0.05), (Shape::Slab, 0.15), (Shape::Sphere, 0.04), (Shape::Sphere, 0.12)]
    {
        for (air, film) in [(-3.0, 10.0), (-10.0, 30.0), (-18.0, 20.0)] {
            let wall = Layer { thickness_m: 0.005, material: PVC };
            let body = Body { shape, inner_m, wall, insulation: None, content: Content::water() };
            let outside = Outside { surroundings_c: air, film_w_m2k: film };
            let run = Run { cells: 80, steps: 300, ..Run::default() };
            let full = body.freeze(4.0, run, |_| outside);
            let quick = Quick::new(&body, film);
            let cool = quick.cool_h(4.0, air).unwrap();
            let through = cool + quick.freeze_through_h(air).unwrap();
            let id = format!("{shape:?} {inner_m} {air}");
            println!(
                "{id} {:+.1} % {:+.1} %",
                (cool / full.first_ice_h.unwrap() - 1.0) * 100.0,
                (through / full.blocked_h.unwrap() - 1.0) * 100.0
            );
            close(&id, "blocked", through, full.blocked_h.unwrap(), 0.03);
            // Deep water "stirred" by a conductivity of 56 W/(m K) isn't wholly mixed.
            close(&id, "first ice", cool, full.first_ice_h.unwrap(), 0.05);
        }
    }
}

#[test]
fn the_low_bound_comes_before_the_first_skin_of_ice_at_rest() {
    for row in rows("freeze_time_shared.csv") {
        let body = pipe(&row);
        let told =
            Exposure::open(row.given("ambient_c"), row.given("wind_m_s"), row.given("start_c"));
        let estimate = estimate(&body, &told);
        let (low, best, high) =
            (estimate.cool_low_h.unwrap(), estimate.cool_h.unwrap(), estimate.cool_high_h.unwrap());
        let id = row.text("id").unwrap();
        assert!(low <= best && best <= high, "{id}: {low} {best} {high}");
        assert!(estimate.freeze_low_h <= estimate.freeze_h, "{id}");
        assert!(estimate.freeze_h <= estimate.freeze_high_h, "{id}");
        for column in ["num_cond_first_ice_h", "num_mixed_first_ice_h"] {
            if let Some(ice) = row.number(column) {
                assert!(low <= ice, "{id}: low bound {low} after {column} {ice}");
                assert!(ice <= high * 1.3, "{id}: high {high} long before {ice}");
            }
        }
    }
}

#[test]
fn moving_water_agrees_with_the_reference() {
    let table = rows("moving_water_shared.csv");
    assert!(table.len() >= 63);
    for row in table {
        let (id, body) = (row.text("id").unwrap(), pipe(&row));
        let (air, film) = (row.given("ambient_c"), film(&row, &body));
        for (column, film) in [
            ("min_flow_l_min", film),
            ("min_flow_rad_l_min", film + radiative_film_w_m2k(air / 2.0)),
        ] {
            let run = MovingRun::new(&body, row.given("length_m"), film, air);
            let flow = least_flow_l_min(&run, row.given("inlet_c"), row.given("outlet_c")).unwrap();
            close(id, column, flow, row.given(column), 0.02);
            close(
                id,
                "outlet",
                run.outlet_c(row.given("inlet_c"), flow),
                row.given("outlet_c"),
                1e-6,
            );
            if column == "min_flow_l_min" {
                close(
                    id,
                    "loss",
                    run.loss_w(row.given("inlet_c"), flow),
                    row.given("heat_loss_w"),
                    0.02,
                );
            }
        }
    }
}

#[test]
fn ice_grows_as_stefan_says() {
    let table = rows("ice_growth_shared.csv");
    assert!(table.len() >= 24);
    for row in table {
        let (surface, hours) = (row.given("surface_c"), row.given("hours"));
        let got = match row.given("snow_mm") {
            snow if snow > 0.0 => snow_ice_thickness_mm(surface, hours, snow),
            _ => stefan_thickness_mm(surface, hours),
        };
        close(row.text("id").unwrap(), "thickness", got, row.given("thickness_mm"), 0.001);
    }
    // The published coefficient: 3.54 cm per √(°C day), 1.04 in per √(°F day) (Stefan 1891 with
    // k 2.22, ρ 917, L 333.6; FACTS E15).
    close("Stefan", "cm", stefan_thickness_mm(-1.0, 24.0) / 10.0, 3.54, 0.002);
    close("Stefan", "in", stefan_thickness_mm(-1.0 / 1.8, 24.0) / 25.4, 1.04, 0.005);
}

#[test]
fn air_is_as_the_standard_atmosphere_tables_say() {
    // US Standard Atmosphere 1976, table at sea level (15 °C): 1.7894e-5 Pa s, 0.025326 W/m K.
    let air = dry_air(15.0);
    close("15 °C", "viscosity", air.viscosity_pa_s, 1.7894e-5, 0.001);
    close("15 °C", "conductivity", air.conductivity_w_m_k, 0.025_326, 0.002);
    close("15 °C", "density", air.density_kg_m3, 1.225, 0.001);
}
