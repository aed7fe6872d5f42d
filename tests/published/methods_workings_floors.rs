//! Methods of heated floors, run so that every formula that they record is reached.

use tundish::methods::en_1264_2::{self, Sheath, TypeA};
use tundish::methods::floor_circuit::{Below, Circuit, Law, Line, Rule, least_limit};
use tundish::methods::floor_conduction::{Pipe, Section, solve_on};
use tundish::methods::friction::Bore;
use tundish::methods::iso_11855_2::{self, Cooled, Surface, TypeB, TypeD, cool};
use tundish::methods::tested_floor::{self, Limit, Slope};
use tundish::methods::water::{conductivity, water};
use tundish::methods::{Book, Budget, MethodError, en_1264_3, floor_loops, iso_13788, part_load};

/// Heated floors, with a thin and a thick cover and on both sides of every approximation.
pub fn floors(w: &mut Book<'_>) -> Result<(), MethodError> {
    let floor = TypeA {
        spacing_m: 0.25,
        cover_m: 0.045,
        cover_w_mk: 1.2,
        covering_m2k_w: 0.04,
        pipe_outside_m: 0.016,
        pipe_wall_m: 0.0018,
        pipe_w_mk: 0.22,
        sheath: None,
    };
    let kh_w_m2k = en_1264_2::characteristic(&floor, w)?.kh_w_m2k;
    en_1264_2::characteristic(&TypeA { cover_m: 0.2, ..floor }, w)?;
    let sheath = Some(Sheath { outside_m: 0.02, conductivity_w_mk: 0.15 });
    let wide = TypeA { spacing_m: 0.4, cover_m: 0.08, sheath, ..floor };
    let wide_w_m2k = en_1264_2::characteristic(&wide, w)?.kh_w_m2k;
    en_1264_2::limit(&wide, wide_w_m2k, 29.0, 21.0, w)?;
    en_1264_2::limit(&floor, kh_w_m2k, 29.0, 21.0, w)?;
    en_1264_2::surface_excess(47.3, w);
    en_1264_2::output_at_surface_excess(4.56, w);
    let excess_k = en_1264_2::excess_for(47.3, kh_w_m2k, w);
    en_1264_3::return_temperature(38.0, 21.0, excess_k, w)?;
    for drop_k in [1e-9, 5.0] {
        en_1264_3::medium_excess(38.0, 38.0 - drop_k, 21.0, w)?;
        en_1264_3::flow_temperature(14.4, drop_k, 21.0, w)?;
    }
    for drop_k in [4.0, 12.0] {
        let flow_excess_k = en_1264_3::flow_excess(14.4, drop_k, w);
        en_1264_3::excess_at_drop(flow_excess_k, drop_k, w)?;
        en_1264_3::drop_of_other_room(flow_excess_k, 14.4, w)?;
    }
    let upward_m2k_w = en_1264_3::upward_resistance(0.04, 0.045, 1.2, w);
    en_1264_3::downward_resistance(1.25, en_1264_3::FAR_SURFACE_M2K_W, w);
    let downward_m2k_w = en_1264_3::downward_resistance_below(0.1608, 0.17, w)?;
    let downward_w_m2 = en_1264_3::downward_flux(47.3, upward_m2k_w, downward_m2k_w, 21.0, 10.0, w);
    en_1264_3::circuit_mass_flow(28.6, 47.3, downward_w_m2, 4178.626, 5.85, w);
    floor_loops::divide(28.6, 0.25, 3.0, 100.0, 1, w)?;
    Ok(())
}

/// A floor's water, by its slope and by conduction, with a line through another room.
pub fn circuits(w: &mut Book<'_>) -> Result<(), MethodError> {
    let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
    let section = Section {
        spacing_m: 0.15,
        pipe,
        film_w_m2k: 700.0,
        under_m: 0.0,
        cover_m: 0.045,
        screed_w_mk: 1.2,
        covering_m2k_w: 0.04,
        surface_w_m2k: 10.8,
        below_m2k_w: 1.25,
    };
    let response = solve_on(&section, 8, &Budget::unbounded())?.response;
    let below = [Below { share: 1.0, downward_m2k_w: 1.25, below_c: 10.0 }];
    let laws = [
        Law::Slope { kh_w_m2k: 4.5, upward_m2k_w: 0.17, below: &below },
        Law::Conduction { response: &response, pipe, below_c: 10.0 },
    ];
    let lines = [Line::along(19.0, 0.8, 5.1, 0.17, &below)];
    let circuit = Circuit {
        flow_c: 36.0,
        room_c: 21.0,
        area_m2: 14.0,
        loops: 1.0,
        laws: &laws,
        lines: &lines,
        water: water(33.5)?,
        conductivity_w_mk: conductivity(33.5)?,
        bore: Bore { inside_diameter_mm: 12.0, roughness_mm: 0.007 },
        rule: Rule::Logarithm,
    };
    circuit.capacity(5.0, w)?;
    circuit.duty(44.0, w)?;
    for only in &laws {
        Circuit { laws: std::slice::from_ref(only), ..circuit }.duty(44.0, w)?;
        only.output(9.3, 21.0, 700.0, w);
    }
    let (near, far) = (Below { share: 0.4, ..below[0] }, Below { share: 0.5, downward_m2k_w: 2.1, below_c: 18.0 });
    Law::Slope { kh_w_m2k: 4.5, upward_m2k_w: 0.17, below: &[near, far] }.downward((44.0, 9.8), 21.0, 700.0, w);
    let approximate = Circuit { rule: Rule::Approximation, lines: &[], laws: &laws[..1], ..circuit };
    approximate.duty(44.0, w)?;
    let share = part_load::load_share(21.0, -3.0, 7.0, w)?;
    part_load::flow_temperature(38.0, 21.0, share, w);
    least_limit(83.2, 80.6, 84.1, w);
    let water = Cooled { room_c: 26.0, flow_c: 18.0, rise_k: 3.0, surface_min_c: 20.0 };
    cool(4.1972, water, w)?;
    Ok(())
}

/// Floors with plates, with a plane source and by their own test; surfaces that heat or cool; the dew point.
pub fn surfaces(w: &mut Book<'_>) -> Result<(), MethodError> {
    let floor = TypeB {
        spacing_m: 0.2,
        cover_m: 0.025,
        cover_w_mk: 0.9,
        covering_m2k_w: 0.04,
        pipe_outside_m: 0.016,
        plate_m: 0.000_3,
        plate_w_mk: 50.0,
        plate_width_m: 0.12,
    };
    iso_11855_2::type_b(&floor, w)?;
    iso_11855_2::type_b(&TypeB { plate_m: 0.002, ..floor }, w)?;
    iso_11855_2::type_d(&TypeD { cover_m: 0.03, cover_w_mk: 0.9, covering_m2k_w: 0.04 }, w)?;
    for surface in [Surface::FloorHeating, Surface::Wall] {
        let q_w_m2 = iso_11855_2::output(surface, 4.56, w);
        iso_11855_2::excess(surface, q_w_m2, w);
        iso_11855_2::convert(5.54, 2.83, surface.coefficient_w_m2k(), 0.04, w)?;
    }
    let slopes = [(0.0, 5.7), (0.1, 3.4)].map(|(covering_m2k_w, kh_w_m2k)| Slope { covering_m2k_w, kh_w_m2k });
    let limits = [(0.0, 91.3), (0.1, 97.7)].map(|(covering_m2k_w, limit_w_m2)| Limit { covering_m2k_w, limit_w_m2 });
    tested_floor::upward_resistance(3.35, w);
    for covering_m2k_w in [0.04, 0.1] {
        tested_floor::slope(&slopes, covering_m2k_w, w)?;
        tested_floor::limit(&limits, covering_m2k_w, 27.0, 21.0, w)?;
    }
    for air_c in [26.0, -3.0] {
        iso_13788::dew_point(air_c, 0.5, w)?;
    }
    Ok(())
}
