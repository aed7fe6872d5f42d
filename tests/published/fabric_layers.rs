//! Elements in layers, by the methods of ISO 6946 alone.

use crate::fixture::{assert_within, rows};
use crate::layer_rows::LayerRow;
use serde::Deserialize;
use tundish::methods::iso_6946::{self, HeatFlow, LayerPath, Outline};
use tundish::methods::{Book, Off};

#[derive(Deserialize)]
struct Element {
    id: String,
    heat_flow: String,
    inside_m2k_w: f64,
    outside_m2k_w: f64,
    upper_m2k_w: f64,
    lower_m2k_w: f64,
    total_m2k_w: f64,
    u_value_w_m2k: f64,
}

impl LayerRow {
    /// Its resistance by the method, which must be the one that stands in the table (0.01 %), and its bridge.
    fn path(&self, flow: HeatFlow) -> LayerPath {
        let by = |conductivity: f64| {
            iso_6946::layer_resistance(self.thickness_mm.unwrap() / 1000.0, conductivity, &mut Off).unwrap()
        };
        let resistance_m2k_w = match (self.kind.as_str(), self.conductivity_w_mk) {
            ("conductivity", Some(conductivity)) => by(conductivity),
            ("air", None) => iso_6946::air_layer(self.thickness_mm.unwrap() / 1000.0, flow).unwrap(),
            _ => self.resistance_m2k_w,
        };
        assert_within(&self.id, resistance_m2k_w, self.resistance_m2k_w, 1e-4 * self.resistance_m2k_w);
        let through = || match self.bridge_conductivity_w_mk {
            Some(conductivity) => {
                let bridge = by(conductivity);
                assert_within("bridge", bridge, self.bridge_resistance_m2k_w.unwrap(), 1e-4 * bridge);
                bridge
            }
            None => self.bridge_resistance_m2k_w.unwrap(),
        };
        LayerPath { resistance_m2k_w, bridge: self.bridge_fraction.map(|fraction| (fraction, through())) }
    }
}

/// `iso_6946_elements.csv` and `iso_6946_layers.csv`: 0.01 %.
#[test]
fn limits_and_mean_of_thirteen_elements() {
    let (elements, layers) = (rows::<Element>("iso_6946_elements.csv"), rows::<LayerRow>("iso_6946_layers.csv"));
    assert_eq!((elements.len(), layers.len()), (13, 54));
    for element in elements {
        let flow = match element.heat_flow.as_str() {
            "up" => HeatFlow::Up,
            "down" => HeatFlow::Down,
            _ => HeatFlow::Horizontal,
        };
        let (inside, outside) = (iso_6946::inside_surface(flow), iso_6946::OUTSIDE_SURFACE_M2K_W);
        assert_eq!((inside, outside), (element.inside_m2k_w, element.outside_m2k_w), "{}", element.id);
        let own = layers.iter().filter(|layer| layer.id == element.id);
        let paths: Vec<LayerPath> = own.map(|layer| layer.path(flow)).collect();
        let mut steps = Vec::new();
        let total = iso_6946::combined(inside, &paths, outside, &mut Book::new(&mut steps)).unwrap();
        let recorded = |name: &str| steps.iter().find(|step| step.name == name).unwrap().result;
        let hold = |what: &str, figure: f64, expected: f64| {
            assert_within(&format!("{} {what}", element.id), figure, expected, 1e-4 * expected);
        };
        hold("upper", recorded("upper_m2k_w"), element.upper_m2k_w);
        hold("lower", recorded("lower_m2k_w"), element.lower_m2k_w);
        hold("total", total, element.total_m2k_w);
        hold("U", iso_6946::transmittance(total, &mut Off), element.u_value_w_m2k);
    }
}

/// A wall of a public calculation set for a fictional house (U-value sheet): resistance 6.903, 0.0087 for air gaps, six
/// fixings of 0.002 W/K: 0.1449 + 0.0087 + 0.0120 = 0.1656, and 0.16556 worked again. Half a digit of the last place.
#[test]
fn a_wall_with_gaps_and_fixings() {
    let (plain, fixings) = (iso_6946::transmittance(6.903, &mut Off), iso_6946::fixings_by_point(6.0, 0.002, &mut Off));
    assert_within("uncorrected", plain, 0.1449, 0.000_05);
    assert_within("fixings", fixings, 0.0120, 0.000_05);
    let corrected = iso_6946::corrected(plain, 0.0087, fixings, &mut Off);
    assert_within("printed", corrected, 0.1656, 0.000_05);
    assert_within("worked again", corrected, 0.16556, 0.000_01);
}

/// A tapered flat roof of the same set: 240 to 360 mm at 0.022 W/(mK), 0.275 m²K/W besides; mean U printed as 0.0728, and
/// 0.07283 worked again. Half a digit of the last place.
#[test]
fn a_tapered_flat_roof() {
    let by = |thickness_m: f64| iso_6946::layer_resistance(thickness_m, 0.022, &mut Off).unwrap();
    let u = iso_6946::tapered(Outline::Rectangle, 0.275 + by(0.24), by(0.12), &mut Off).unwrap();
    assert_within("printed", u, 0.0728, 0.000_05);
    assert_within("worked again", u, 0.07283, 0.000_005);
}
