//! What must hold for the sums of EN 1264-2 and EN 1264-3 whatever the numbers are.

use proptest::prelude::*;
use tundish::methods::en_1264_2::{self, TypeA};
use tundish::methods::{Off, en_1264_3};

fn kh(floor: &TypeA) -> f64 {
    en_1264_2::characteristic(floor, &mut Off).unwrap().kh_w_m2k
}

prop_compose! {
    fn floors()(
        spacing_m in 0.05..0.6, cover_m in 0.02..0.18, cover_w_mk in 0.8..2.0, covering_m2k_w in 0.0..0.149,
        pipe_outside_m in 0.01..0.03, pipe_wall_m in 0.001..0.004, pipe_w_mk in 0.15..0.5,
    ) -> TypeA {
        TypeA { spacing_m, cover_m, cover_w_mk, covering_m2k_w, pipe_outside_m, pipe_wall_m, pipe_w_mk, sheath: None }
    }
}

proptest! {
    #[test]
    fn a_floor_gives_less_with_wider_spacing_more_above_the_pipe_and_a_poorer_pipe(floor in floors()) {
        let made = kh(&floor);
        prop_assert!(made > 0.0);
        let poorer = [
            TypeA { spacing_m: floor.spacing_m + 0.005, ..floor },
            TypeA { cover_m: floor.cover_m + 0.005, ..floor },
            TypeA { covering_m2k_w: floor.covering_m2k_w + 0.001, ..floor },
            TypeA { cover_w_mk: floor.cover_w_mk * 0.99, ..floor },
            TypeA { pipe_w_mk: floor.pipe_w_mk * 0.99, ..floor },
        ];
        for floor in poorer {
            prop_assert!(kh(&floor) < made, "{:?} gives {}, not less than {}", floor, kh(&floor), made);
        }
    }

    #[test]
    fn the_limit_lies_on_the_characteristic_and_rises_with_the_surface(floor in floors(), limit_c in 24.0..35.0) {
        let kh = kh(&floor);
        if let Ok(limit) = en_1264_2::limit(&floor, kh, limit_c, 20.0, &mut Off) {
            prop_assert!((kh * limit.excess_k / limit.limit_w_m2 - 1.0).abs() < 1e-12);
            let warmer = en_1264_2::limit(&floor, kh, limit_c + 0.1, 20.0, &mut Off).unwrap();
            prop_assert!(warmer.limit_w_m2 > limit.limit_w_m2);
        }
    }

    #[test]
    fn surface_and_output_undo_each_other(q in 0.1..200.0) {
        let excess_k = en_1264_2::surface_excess(q, &mut Off);
        prop_assert!((en_1264_2::output_at_surface_excess(excess_k, &mut Off) / q - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_approximation_of_the_other_room_rises_within_each_form_and_stays_near_the_logarithm(
        excess_k in 2.0..30.0, share in 1.01..1.9,
    ) {
        let drop_k = |share: f64| en_1264_3::drop_of_other_room(share * excess_k, excess_k, &mut Off).unwrap();
        if !(1.249..=1.25).contains(&share) {
            prop_assert!(drop_k(share + 0.001) > drop_k(share));
        }
        let exact_c = en_1264_3::return_temperature(share * excess_k, 0.0, excess_k, &mut Off).unwrap().return_c;
        prop_assert!((share * excess_k - drop_k(share) - exact_c).abs() < 0.1 * excess_k);
    }

    #[test]
    fn the_balance_of_a_circuit_closes(q in 5.0..150.0, ru in 0.3..8.0, below in -5.0..20.0, drop in 1.0..10.0) {
        let ro = en_1264_3::upward_resistance(0.05, 0.045, 1.2, &mut Off);
        let qu = en_1264_3::downward_flux(q, ro, ru, 21.0, below, &mut Off);
        let kg_s = en_1264_3::circuit_mass_flow(12.0, q, qu, 4180.0, drop, &mut Off);
        prop_assert!((kg_s * 4180.0 * drop - 12.0 * (q + qu)).abs() < 1e-9);
        // the heat through both resistances comes from one temperature, that of the pipes
        prop_assert!((ro * q + 21.0 - (below + ru * qu)).abs() < 1e-9);
    }
}
