//! Floors in the ground by ISO 13370: the yearly swing, which no answer shows, edge insulation and basements.

use crate::fixture::assert_within;
use tundish::methods::iso_13370::{self, Basement, Edge, Slab};
use tundish::methods::iso_13789::{Exchange, unheated_temperature};
use tundish::methods::{Off, en_12831};

/// A slab of a public calculation set for a fictional house (ground sheet): 74.03 m², 34.59 m, walls 0.402 m, floor
/// 4.418 m²K/W, ground of 2.0 W/(mK) and 2e6 J/(m³K). Printed: depth 3.17 m, inside 13.04, outside 7.26 W/K; worked again:
/// 3.1665, 13.042 and 7.258. Half a digit of the last place.
#[test]
fn the_yearly_swing_of_a_published_slab() {
    let slab =
        Slab { area_m2: 74.03, perimeter_m: 34.59, wall_thickness_m: 0.402, ground_w_mk: 2.0, floor_m2k_w: 4.418 };
    let swing = iso_13370::slab_swing(slab, 2e6, &mut Off).unwrap();
    assert_within("depth", swing.depth_m, 3.17, 0.005);
    assert_within("depth, again", swing.depth_m, 3.1665, 0.000_05);
    assert_within("inside", swing.inside_w_k, 13.04, 0.005);
    assert_within("inside, again", swing.inside_w_k, 13.042, 0.0005);
    assert_within("outside", swing.outside_w_k, 7.26, 0.005);
    assert_within("outside, again", swing.outside_w_k, 7.258, 0.0005);
}

/// Source: ISO 13370, edge insulation, as open programs carry it, worked by hand: 48 m² with 28 m of edge have B' 48/14 = 3.428571; walls of
/// 0.3 m, 0.5 m²K/W and clay make dt 0.3 + 1.5 · 0.71 = 1.365 and U0 3/(π · B' + dt) · ln(π · B'/dt + 1) = 0.540130. 50 mm of
/// 0.035 have d' 1.5 · (0.05/0.035 - 0.05/1.5) = 2.092857; with a reach D (horizontal) or 2D (vertical)
/// ψ = -1.5/π · (ln(D/dt + 1) - ln(D/(dt + d') + 1)) and U = U0 + 2ψ/B'.
#[test]
fn insulation_along_and_down_the_edge_of_a_slab() {
    let slab = Slab { area_m2: 48.0, perimeter_m: 28.0, wall_thickness_m: 0.3, ground_w_mk: 1.5, floor_m2k_w: 0.5 };
    let found = |is_horizontal, reach_m| {
        let edge = Edge { is_horizontal, reach_m, thickness_m: 0.05, conductivity_w_mk: 0.035 };
        iso_13370::slab_with_edge(slab, edge, &mut Off).unwrap()
    };
    assert_within("bare", iso_13370::slab_on_ground(slab, &mut Off).unwrap(), 0.540_130, 1e-6);
    // 1.0 m: ψ = -0.477465 · (0.549624 - 0.254019) = -0.141141; 0.540130 - 0.282281/3.428571
    assert_within("horizontal", found(true, 1.0), 0.457_798, 1e-6);
    // 0.6 m down is 1.2: ψ = -0.477465 · (0.630804 - 0.297906) = -0.158947; 0.540130 - 0.317894/3.428571
    assert_within("vertical", found(false, 0.6), 0.447_411, 1e-6);
}

/// Source: ISO 13370, heated basement, as open programs carry it, worked by hand: B' 3.428571 as above, 2.2 m deep, walls of 0.3 m, clay.
/// Floor 3/(π · B' + dt + z/2) · ln(π · B'/(dt + z/2) + 1), or 1.5/(0.457 · B' + dt + z/2) from dt + z/2 = B' up; walls
/// 3/(π · z) · (1 + dt/2/(dt + z)) · ln(z/dw + 1) with dw 1.5 · (0.17 + Rw), and dw for dt where it is the lesser.
#[test]
fn the_floor_and_the_walls_of_a_basement() {
    let found = |floor_m2k_w, wall_m2k_w| {
        let (ground_w_mk, depth_m, wall_thickness_m) = (1.5, 2.2, 0.3);
        let (area_m2, perimeter_m) = (48.0, 28.0);
        let basement =
            Basement { area_m2, perimeter_m, depth_m, wall_thickness_m, ground_w_mk, floor_m2k_w, wall_m2k_w };
        iso_13370::basement(basement, &mut Off).unwrap()
    };
    // dt 0.3 + 1.5 · 1.21 = 2.115, with z/2 3.215: 3/13.986175 · 1.470242; dw 3.255: 0.434059 · 1.245075 · 0.516340
    let (floor, walls) = found(1.0, 2.0);
    assert_within("floor", floor, 0.315_363, 1e-6);
    assert_within("walls", walls, 0.279_049, 1e-6);
    // dw 1.5 · 0.57 = 0.855 stands for dt: 0.434059 · (1 + 0.4275/3.055) · ln(2.2/0.855 + 1) = 0.434059 · 1.139935 · 1.273433
    assert_within("poor walls", found(1.0, 0.4).1, 0.630_093, 1e-6);
    // dt 6.615, with z/2 7.715 beyond B': 1.5/(1.566857 + 7.715)
    assert_within("insulated floor", found(4.0, 3.0).0, 0.161_606, 1e-6);
}

/// Source: EN 12831:2003, fg1 1.45 and Gw 1.15 where the water table is near: 10 W/K count as 1.45 · 1.15 · 10 = 16.675.
#[test]
fn near_ground_water_raises_what_an_unheated_space_loses_to_the_ground() {
    let found = en_12831::ground_conductance(10.0, true, en_12831::GROUND_WATER_NEAR, &mut Off);
    assert_within("near", found, 16.675, 1e-9);
}

/// Source: ISO 13789, hand balance: 4.2 W/K to a room of 21 °C, 106.95 to -3 °C, 12 to ground of 10 °C and 2 to a neighbour of 15 °C:
/// (88.2 - 320.85 + 120 + 30)/125.15 = -0.660408 °C.
#[test]
fn an_unheated_space_between_a_room_ground_and_a_neighbour() {
    let mut exchange = Exchange { outside_w_k: 106.95, ..Exchange::default() };
    exchange.add_room(4.2, 21.0);
    exchange.add_other(12.0, 10.0);
    exchange.add_other(2.0, 15.0);
    assert_within("space", unheated_temperature(exchange, -3.0, &mut Off).unwrap(), -0.660_408, 1e-6);
}
