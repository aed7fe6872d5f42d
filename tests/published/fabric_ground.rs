//! The yearly swing of a slab on the ground, ISO 13370, which no answer shows.

use crate::fixture::assert_within;
use tundish::methods::Off;
use tundish::methods::iso_13370::{self, Slab};

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
