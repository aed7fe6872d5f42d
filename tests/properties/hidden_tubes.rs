//! Hidden tubes through the stage: what readings of a tube with a known truth say of it, in seeded trials.

use serde_json::{Value, json};
use std::sync::LazyLock;
use tundish::design::emitters::{self, Emitters, Tells};
use tundish::design::pipework::{self, Hidden};
use tundish::design::source::{self, Source};
use tundish::job::emitters::Keep;
use tundish::list::Index;
use tundish::methods::draws::Draws;
use tundish::methods::friction::{self, Bore, LAMINAR_TO, TURBULENT_FROM};
use tundish::methods::hidden_tube::{Reading, Spread};
use tundish::methods::water::{Liquid, water};
use tundish::methods::{Budget, Off};
use tundish::methods::math;
use tundish::survey::offer::Tube;
use tundish::survey::{Laid, Lying, Run, Survey};

use super::houses::{asked, heat_loss};

/// What a house is designed by, but for what its hidden tube is told to be.
struct House {
    survey: Survey,
    emitters: Emitters,
    source: Source,
}

/// A room of so much heat (W) with one radiator behind one run; the shipped book, or the six copper tubes of a house worked by hand.
fn house(loss_w: f64, is_small: bool) -> House {
    let mut job = json!({"schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -3, "annual_mean_outside_c": 10}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1}},
        "rooms": {"r": {"use": "living", "floor_area_m2": 20, "height_m": 2.4, "inside_design_c": 21, "air_changes_per_h": 0,
            "surfaces": {"wall": {"part": "wall", "construction": "wall", "area_m2": loss_w / 24.0}},
            "emitters": {"rad": {"kind": "radiator"}}}},
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 50}, "drop_k": 5},
        "pipework": {"runs": {"hidden": {"from": "plant", "length_m": 10, "serves": [{"room": "r", "emitter": "rad"}],
            "readings": {"points": [{"flow_l_h": 100, "pressure_difference_kpa": 1}]}}}}});
    if is_small {
        let text = include_str!("../../fixtures/published/hand_house.json");
        let known: Value = serde_json::from_str(text).unwrap();
        job["commercial"] = json!({"price_book": known["commercial"]["price_book"]});
    }
    let (survey, loss) = heat_loss(&job);
    let budget = Budget::unbounded();
    let asked = asked(&survey, Tells::Duty, &budget);
    let emitters = emitters::compute(asked, &loss, &mut Off).unwrap();
    let source = source::compute(&survey, &loss, &emitters, &mut Off).unwrap();
    House { survey, emitters, source }
}

/// Flows that a tube is read at, by what they are within.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Regime {
    Laminar,
    Between,
    Turbulent,
}

const REGIMES: [(Regime, f64, f64); 3] = [
    (Regime::Laminar, 600.0, 1950.0),
    (Regime::Between, 2050.0, 3950.0),
    (Regime::Turbulent, 4100.0, 16_000.0),
];

/// Which law water goes by between laminar and turbulent flow: the one, the other, or as this program reckons.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Law {
    Laminar,
    Turbulent,
    Blend,
}

/// The tube as it lies.
#[derive(Clone, Copy)]
struct Truth {
    bore: Bore,
    /// Both legs (m).
    length_m: f64,
    /// Of all its bends, in both legs.
    zeta: f64,
    law: Law,
}

impl Truth {
    /// Pressure that it takes (Pa), by Darcy-Weisbach.
    fn drop_pa(&self, liquid: &Liquid, flow_kg_s: f64) -> f64 {
        let (velocity_m_s, reynolds) = friction::reynolds(self.bore, liquid, flow_kg_s, &mut Off).unwrap();
        let relative = self.bore.roughness_mm / self.bore.inside_diameter_mm;
        let is_between = reynolds > LAMINAR_TO && reynolds < TURBULENT_FROM;
        let factor = match self.law {
            Law::Laminar if is_between => 64.0 / reynolds,
            Law::Turbulent if is_between => friction::colebrook(reynolds, relative, &mut Off).unwrap().friction_factor,
            Law::Laminar | Law::Turbulent | Law::Blend => friction::friction_factor(reynolds, relative, &mut Off).unwrap(),
        };
        let straight = factor * self.length_m / (self.bore.inside_diameter_mm / 1000.0);
        (straight + self.zeta) * liquid.density_kg_m3 / 2.0 * velocity_m_s * velocity_m_s
    }
}

/// How a tube is read and told.
#[derive(Clone, Copy)]
struct Told {
    regime: Regime,
    /// Relative standard deviation of what chance puts on every flow and pressure.
    noise: f64,
    /// The same, as it is told.
    spread: f64,
    /// The route as it is told over the route as it is.
    route: f64,
    bends: u32,
}

fn uniform(draws: &mut Draws, low: f64, high: f64) -> f64 {
    // the sum of two squares of normal draws is exponential: its share below itself is even
    let (a, b) = (draws.normal(), draws.normal());
    low + (high - low) * math::exp(-0.5 * (a * a + b * b))
}

/// A draw among so many.
fn one_of(draws: &mut Draws, count: usize) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss, reason = "a few")]
    let found = uniform(draws, 0.0, count as f64) as usize;
    found.min(count - 1)
}

/// What a trial found.
struct Found {
    is_refused: bool,
    is_listed: bool,
    is_likeliest: bool,
    /// The greatest over the least drop, and whether the truth lies between.
    width: f64,
    holds: bool,
}

/// One tube that is drawn, read, and told to the stage.
fn trial(house: &mut House, told: Told, draws: &mut Draws) -> Found {
    let tubes: Vec<(Index<Tube>, Bore)> = house
        .survey
        .offer
        .tubes
        .enumerate()
        .map(|(index, tube)| {
            (index, Bore { inside_diameter_mm: 1000.0 * tube.bore_m, roughness_mm: 1000.0 * tube.roughness_m })
        })
        .filter(|(_, bore)| bore.inside_diameter_mm < 30.0)
        .collect();
    let (_, bore) = tubes[one_of(draws, tubes.len())];
    let route_m = uniform(draws, 4.0, 25.0);
    let law = [Law::Laminar, Law::Turbulent, Law::Blend][one_of(draws, 3)];
    let zeta = 2.0 * f64::from(told.bends) * house.survey.pipes.bend_zeta;
    let truth = Truth { bore, length_m: 2.0 * route_m, zeta, law };
    let liquid = water(20.0).unwrap();
    let (_, low, high) = REGIMES[REGIMES.iter().position(|(regime, ..)| *regime == told.regime).unwrap()];
    let readings: Vec<Reading> = (0..3)
        .map(|_| {
            let reynolds = uniform(draws, low, high);
            let at_one_m_s = friction::mass_flow_at(bore, &liquid, 1.0);
            let flow_kg_s = at_one_m_s * reynolds * liquid.dynamic_viscosity_pa_s
                / (liquid.density_kg_m3 * bore.inside_diameter_mm / 1000.0);
            let drop_pa = truth.drop_pa(&liquid, flow_kg_s);
            let mut off = |value: f64| value * math::exp(told.noise * draws.normal());
            Reading { flow_kg_s: off(flow_kg_s), drop_pa: off(drop_pa), liquid }
        })
        .collect();
    let hidden = told_of(house, told, route_m, readings);
    let own = hidden.tubes.iter().map(|&tube| house.survey.offer.tubes[tube].bore_m);
    let is_own = |bore_m: f64| (1000.0 * bore_m - bore.inside_diameter_mm).abs() < 1e-6;
    let truth_pa = truth.drop_pa(&house.emitters.water, hidden.flow_kg_s);
    let drop_pa = hidden.drop_pa();
    let likeliest = hidden.stands_for().map(|(tube, _)| house.survey.offer.tubes[tube].bore_m);
    Found {
        is_refused: hidden.pairs.is_empty(),
        is_listed: own.into_iter().any(is_own),
        is_likeliest: likeliest.is_some_and(is_own),
        width: drop_pa.map_or(f64::NAN, |[low_pa, _, high_pa]| high_pa / low_pa),
        holds: drop_pa.is_some_and(|[low_pa, _, high_pa]| low_pa <= truth_pa && truth_pa <= high_pa),
    }
}

/// What the stage finds in readings.
fn told_of(house: &mut House, told: Told, route_m: f64, readings: Vec<Reading>) -> Hidden {
    let run: &mut Run = house.survey.pipes.runs.iter_mut().next().unwrap();
    run.length_m = told.route * route_m;
    run.bends = told.bends;
    let spread = Spread { flow: told.spread, drop: told.spread };
    run.laid = Some(Laid { lying: Lying::Read(readings, spread), keep: Keep::Always });
    let budget = Budget::unbounded();
    let asked = asked(&house.survey, Tells::Duty, &budget);
    let found = pipework::compute(asked, &house.emitters, &house.source, &mut Off).unwrap();
    found.hidden[0].clone()
}

fn count(found: &[Found], is: impl Fn(&Found) -> bool) -> usize {
    found.iter().filter(|found| is(found)).count()
}

static LOADS_W: LazyLock<[f64; 3]> = LazyLock::new(|| [500.0, 1100.0, 2400.0]);

#[test]
fn a_true_bore_is_listed_and_its_interval_holds() {
    let started = std::time::Instant::now();
    let mut draws = Draws::new(20_261_130);
    for is_small in [true, false] {
        let mut houses = LOADS_W.map(|loss_w| house(loss_w, is_small));
        for (regime, ..) in REGIMES {
            for route in [1.0, 1.1, 1.0 / 1.1] {
                let found: Vec<Found> = (0..120)
                    .map(|number| {
                        let bends = [0, 4, 10][number % 3];
                        let house = &mut houses[(number / 3) % 3];
                        trial(house, Told { regime, noise: 0.05, spread: 0.05, route, bends }, &mut draws)
                    })
                    .collect();
                let mut widths: Vec<f64> = found.iter().map(|found| found.width).filter(|width| width.is_finite()).collect();
                widths.sort_by(f64::total_cmp);
                println!(
                    "small {is_small} {regime:?} route {route:.2}: listed {} holds {} refused {} likeliest {} of {}, width {:.2}",
                    count(&found, |found| found.is_listed), count(&found, |found| found.holds),
                    count(&found, |found| found.is_refused), count(&found, |found| found.is_likeliest), found.len(),
                    widths.get(widths.len() / 2).copied().unwrap_or(f64::NAN)
                );
                let exact: Vec<Found> = (0..60)
                    .map(|number| {
                        let bends = [0, 4, 10][number % 3];
                        let house = &mut houses[(number / 3) % 3];
                        let spread = [0.05, 0.02, 0.005, 0.001][(number / 9) % 4];
                        trial(house, Told { regime, noise: 0.0, spread, route, bends }, &mut draws)
                    })
                    .collect();
                println!(
                    "   exact: listed {} holds {} refused {} of {}", count(&exact, |found| found.is_listed),
                    count(&exact, |found| found.holds), count(&exact, |found| found.is_refused), exact.len()
                );
            }
        }
    }
    println!("{:?}", started.elapsed());
}
