//! Plated and plane heated floors and other surfaces against figures from outside of this program.

use crate::fixture::{assert_within, rows};
use proptest::prelude::*;
use serde::Deserialize;
use tundish::methods::en_1264_2::{self, TypeA};
use tundish::methods::iso_11855_2::{self, Surface, TypeB, TypeD};
use tundish::methods::{MethodError, Off};

#[derive(Deserialize)]
struct Plated {
    spacing_m: f64,
    plate_w_k: f64,
    covering_m2k_w: f64,
    kh_w_m2k: f64,
}

#[test]
fn slopes_of_floors_with_plates() {
    let table = rows::<Plated>("iso_11855_type_b.csv");
    assert_eq!(table.len(), 9);
    for row in table {
        let Plated { spacing_m, covering_m2k_w, .. } = row;
        let floor = TypeB {
            spacing_m,
            cover_m: 0.025,
            cover_w_mk: 1.0,
            covering_m2k_w,
            pipe_outside_m: 0.016,
            plate_m: row.plate_w_k / 50.0,
            plate_w_mk: 50.0,
            plate_width_m: spacing_m,
        };
        let made = iso_11855_2::type_b(&floor, &mut Off).unwrap();
        assert_within("KWL", made.conduction, 0.2, 1e-12);
        assert_within("KH", made.kh_w_m2k, row.kh_w_m2k, 1e-3 * row.kh_w_m2k);
    }
}

#[derive(Deserialize)]
struct Plane {
    covering_m2k_w: f64,
    kh_w_m2k: f64,
}

#[test]
fn slopes_of_a_floor_with_a_plane_source() {
    for Plane { covering_m2k_w, kh_w_m2k } in rows::<Plane>("iso_11855_type_d.csv") {
        let floor = TypeD { cover_m: 0.03, cover_w_mk: 1.0, covering_m2k_w };
        let found = iso_11855_2::type_d(&floor, &mut Off).unwrap().kh_w_m2k;
        assert_within("KH", found, kh_w_m2k, 1e-3 * kh_w_m2k);
    }
}

/// Source: the two tables again. Type B knows its cover by su/λE and by what it adds to KWL, type D by su/λE alone: 0.02 and
/// 0.024 m of 0.8 W/(mK) resist like 0.025 and 0.03 m of 1 W/(mK), so that with KWL kept at 0.2 the slopes are the same.
#[test]
fn a_cover_of_another_conductivity_counts_by_its_resistance() {
    for Plated { spacing_m, plate_w_k, covering_m2k_w, kh_w_m2k } in rows::<Plated>("iso_11855_type_b.csv") {
        // KWL · 0.125 = 0.025 = plate + bu · 0.025 · 1, which is now plate + bu · 0.02 · 0.8
        let b_u = (0.025 - plate_w_k) / 0.025;
        let floor = TypeB {
            spacing_m,
            cover_m: 0.02,
            cover_w_mk: 0.8,
            covering_m2k_w,
            pipe_outside_m: 0.016,
            plate_m: (0.025 - b_u * 0.016) / 50.0,
            plate_w_mk: 50.0,
            plate_width_m: spacing_m,
        };
        let made = iso_11855_2::type_b(&floor, &mut Off).unwrap();
        assert_within("KWL", made.conduction, 0.2, 1e-12);
        assert_within("type B", made.kh_w_m2k, kh_w_m2k, 1e-3 * kh_w_m2k);
    }
    for Plane { covering_m2k_w, kh_w_m2k } in rows::<Plane>("iso_11855_type_d.csv") {
        let floor = TypeD { cover_m: 0.024, cover_w_mk: 0.8, covering_m2k_w };
        assert_within("type D", iso_11855_2::type_d(&floor, &mut Off).unwrap().kh_w_m2k, kh_w_m2k, 1e-3 * kh_w_m2k);
    }
    // 0.09 m of 0.45 W/(mK) resist with 0.2 m²K/W, and the cover may have 0.18
    let thick = TypeD { cover_m: 0.09, cover_w_mk: 0.45, covering_m2k_w: 0.0 };
    assert!(matches!(iso_11855_2::type_d(&thick, &mut Off), Err(MethodError::OutOfRange { .. })));
}

#[derive(Deserialize)]
struct Conversion {
    surface: String,
    surface_w_m2k: f64,
    kf: f64,
    kf_star: f64,
    kh_w_m2k: f64,
}

/// The build-up that the conversions are given for.
fn bare_or_covered(covering_m2k_w: f64) -> f64 {
    let floor = TypeA {
        spacing_m: 0.15,
        cover_m: 0.045,
        cover_w_mk: 1.2,
        covering_m2k_w,
        pipe_outside_m: 0.016,
        pipe_wall_m: 0.002,
        pipe_w_mk: 0.35,
        sheath: None,
    };
    en_1264_2::characteristic(&floor, &mut Off).unwrap().kh_w_m2k
}

#[test]
fn a_build_up_taken_over_to_other_surfaces() {
    let table = rows::<Conversion>("iso_11855_conversion.csv");
    assert_eq!(table.len(), 4);
    for row in table {
        let Conversion { surface: name, surface_w_m2k, .. } = row;
        let surface = match name.as_str() {
            "ceiling heating" => Surface::CeilingHeating,
            "wall" => Surface::Wall,
            "floor cooling" => Surface::FloorCooling,
            "ceiling cooling" => Surface::CeilingCooling,
            other => panic!("{other}"),
        };
        assert_within(&format!("{name}, coefficient"), surface.coefficient_w_m2k(), surface_w_m2k, 0.0);
        // from the build-up itself: its slopes as printed are one digit short for the last digit of the results
        let (kf, kf_star) = (bare_or_covered(0.0), bare_or_covered(0.15));
        assert_within("KF", kf, row.kf, 0.000_05);
        assert_within("KF*", kf_star, row.kf_star, 0.000_05);
        let found = iso_11855_2::convert(kf, kf_star, surface_w_m2k, 0.0, &mut Off).unwrap();
        assert_within(&name, found, row.kh_w_m2k, 0.000_05);
    }
}

prop_compose! {
    fn plated()(
        spacing_m in 0.05..0.44, cover_m in 0.012..0.04, cover_w_mk in 0.25..1.0, covering_m2k_w in 0.0..0.149,
        pipe_outside_m in 0.014..0.022, plate_m in 0.0..0.0006, plate_w_mk in 10.0..60.0, part in 0.0..1.0,
    ) -> TypeB {
        let plate_width_m = part * spacing_m;
        TypeB { spacing_m, cover_m, cover_w_mk, covering_m2k_w, pipe_outside_m, plate_m, plate_w_mk, plate_width_m }
    }
}

proptest! {
    #[test]
    fn a_floor_with_plates_gives_less_with_wider_spacing_a_covering_and_poorer_plates(floor in plated()) {
        let Ok(made) = iso_11855_2::type_b(&floor, &mut Off) else {
            return Ok(()); // the cover's resistance
        };
        let full = TypeB { plate_width_m: floor.spacing_m, ..floor };
        let full_made = iso_11855_2::type_b(&full, &mut Off).unwrap();
        let wider_m = floor.spacing_m + 0.005;
        let poorer = [
            (made, TypeB { covering_m2k_w: floor.covering_m2k_w + 0.001, ..floor }),
            (full_made, TypeB { spacing_m: wider_m, plate_width_m: wider_m, ..full }),
            (full_made, TypeB { plate_m: 0.9 * floor.plate_m, ..full }),
            (full_made, TypeB { plate_width_m: 0.8 * floor.spacing_m, ..full }),
        ];
        for (made, floor) in poorer {
            let found = iso_11855_2::type_b(&floor, &mut Off).unwrap();
            prop_assert!(found.kh_w_m2k <= made.kh_w_m2k, "{:?} gives {:?}, more than {:?}", floor, found, made);
        }
    }

    /// The factor of the plates is below 1, and counted as at the table's end: never more than the tables can bear.
    #[test]
    fn beyond_the_table_plates_count_as_at_its_end(floor in plated(), more in 1.01..5.0) {
        let room_w_k = 0.4 * 0.125;
        let at = |part: f64| {
            let plate_m = part * room_w_k / floor.plate_w_mk;
            iso_11855_2::type_b(&TypeB { plate_m, ..floor }, &mut Off).unwrap()
        };
        let (beyond, further) = (at(more), at(2.0 * more));
        prop_assert!(beyond.conduction > 0.4 && (further.kh_w_m2k - beyond.kh_w_m2k).abs() < 1e-12);
        let factor = |conduction| iso_11855_2::tables::plate_factor(floor.spacing_m, conduction, floor.pipe_outside_m);
        let (full, bare) = (factor(0.4), factor(0.0));
        // the published correction of narrow plates passes the full width by so much
        prop_assert!(beyond.a_wl <= full + 0.0009 * (full - bare), "{:?}", beyond);
    }
}
