use super::search::Search;
use super::*;
use crate::methods::friction::Bore;
use crate::methods::water::{Liquid, water};

const OPEN: Part = Part::Valve { kv_m3_h: 1.0, density_kg_m3: 1000.0 };
const SHUT: Part = Part::Valve { kv_m3_h: 0.0, density_kg_m3: 1000.0 };
const NARROW: Part = Part::Valve { kv_m3_h: 1e-4, density_kg_m3: 1000.0 };
const HEAD: Drive = Drive::Constant { head_pa: 10_000.0 };

fn tube() -> Tube {
    let bore = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
    Tube { bore, length_m: 10.0, zeta: 1.0, liquid: water(40.0).unwrap() }
}

/// A section and an end behind it.
fn one(section: &[Part], end: &[Part]) -> Network {
    Network {
        sections: vec![Section { from: None, parts: section.to_vec() }],
        ends: vec![End { at: Some(0), parts: end.to_vec() }],
    }
}

fn run(network: &Network, drive: Drive<'_>) -> Result<Solution, MethodError> {
    network.solve(&Pump { drive, density_kg_m3: 1000.0 }, &Budget::unbounded(), &mut Off)
}

fn is_refused(network: &Network, drive: Drive<'_>, about: &str) -> bool {
    matches!(run(network, drive), Err(MethodError::Impossible { reason }) if reason.contains(about))
}

#[test]
fn refuses_what_is_no_tree_and_what_is_not_open() {
    let mut loops = one(&[OPEN], &[OPEN]);
    loops.sections[0].from = Some(0);
    assert!(is_refused(&loops, HEAD, "in a tree"));
    let mut stray = one(&[OPEN], &[OPEN]);
    stray.ends[0].at = Some(1);
    assert!(is_refused(&stray, HEAD, "in a tree"));
    for network in [one(&[OPEN], &[OPEN, SHUT]), one(&[SHUT], &[OPEN]), Network::default()] {
        assert!(is_refused(&network, HEAD, "no end of the tree is open"));
    }
    let nothing = Part::Tube(Tube { length_m: 0.0, zeta: 0.0, ..tube() });
    for end in [vec![], vec![nothing]] {
        assert!(is_refused(&one(&[OPEN], &end), HEAD, "joins flow and return"));
    }
}

#[test]
fn refuses_parts_that_are_none() {
    let good = tube();
    let dry = Liquid { density_kg_m3: 0.0, ..good.liquid };
    let tubes = [
        Tube { length_m: -1.0, ..good },
        Tube { zeta: f64::NAN, ..good },
        Tube { liquid: dry, ..good },
        Tube { bore: Bore { inside_diameter_mm: -13.6, roughness_mm: -0.001 }, ..good },
    ];
    for part in tubes {
        assert!(is_refused(&one(&[Part::Tube(part)], &[OPEN]), HEAD, "a tube has"), "{part:?}");
    }
    let rough = Tube { bore: Bore { inside_diameter_mm: 10.0, roughness_mm: 1.0 }, ..good };
    assert!(matches!(run(&one(&[], &[Part::Tube(rough)]), HEAD), Err(MethodError::OutOfRange { .. })));
    for (kv_m3_h, density_kg_m3) in [(-1.0, 1000.0), (f64::NAN, 1000.0), (f64::INFINITY, 1000.0), (1.0, 0.0)] {
        let valve = Part::Valve { kv_m3_h, density_kg_m3 };
        // one that is shut elsewhere hides nothing
        assert!(is_refused(&one(&[SHUT], &[OPEN, valve]), HEAD, "a valve has"));
    }
}

#[test]
fn refuses_pumps_without_one_point_of_work() {
    let network = one(&[], &[OPEN]);
    for head_pa in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(is_refused(&network, Drive::Constant { head_pa }, "no head"));
    }
    let at = |points, speed| Drive::Curve { points, speed };
    for speed in [0.0, -0.5, 1.01, f64::NAN] {
        assert!(is_refused(&network, at(&[(0.0, 50.0), (2000.0, 0.0)], speed), "full speed"));
    }
    let curves: [&[(f64, f64)]; 4] =
        [&[], &[(0.0, 50.0)], &[(0.0, 50.0), (100.0, -1.0)], &[(0.0, f64::NAN), (100.0, 1.0)]];
    for points in curves {
        assert!(is_refused(&network, at(points, 1.0), "two points"));
    }
    // in the wrong order, no head at all, and a head that rises with the flow from nothing
    let curves: [&[(f64, f64)]; 3] =
        [&[(900.0, 5.0), (0.0, 50.0)], &[(0.0, 0.0), (900.0, 0.0)], &[(100.0, 5.0), (900.0, 46.0)]];
    for points in curves {
        assert!(is_refused(&network, at(points, 1.0), "rises in flow"));
    }
}

/// Kv 1 takes 1,000 l/h at 100 kPa and 500 l/h at 25 kPa.
#[test]
fn says_where_the_point_of_work_lies_beyond_the_curve() {
    let network = one(&[], &[OPEN]);
    let beyond = |points: &[(f64, f64)], speed| match run(&network, Drive::Curve { points, speed }) {
        Err(MethodError::OutOfRange { quantity: "flow_l_h", value, min, max, .. }) => (value.round(), min, max),
        other => panic!("{other:?}"),
    };
    assert_eq!(beyond(&[(0.0, 120.0), (400.0, 100.0)], 1.0), (1000.0, 0.0, 400.0));
    assert_eq!(beyond(&[(0.0, 120.0), (400.0, 100.0)], 0.5), (500.0, 0.0, 200.0));
    assert_eq!(beyond(&[(600.0, 25.0), (900.0, 20.0)], 1.0), (500.0, 600.0, 900.0));
    // the ends themselves belong to it
    for points in [[(0.0, 60.0), (500.0, 25.0)], [(500.0, 25.0), (900.0, 20.0)]] {
        let found = run(&network, Drive::Curve { points: &points, speed: 0.7 }).unwrap();
        assert!((found.duty.flow_l_h - 350.0).abs() < 1e-8 && (found.duty.head_pa - 12_250.0).abs() < 1e-6);
    }
}

/// A curve that rises a little at first, as many do: 24 kPa at nothing, 25 kPa at 500 l/h.
#[test]
fn takes_a_curve_with_a_hump() {
    let points = [(0.0, 24.0), (500.0, 25.0), (900.0, 10.0)];
    let found = run(&one(&[], &[OPEN]), Drive::Curve { points: &points, speed: 1.0 }).unwrap();
    assert!((found.duty.flow_l_h - 500.0).abs() < 1e-7, "{found:?}");
}

#[test]
fn a_section_without_open_ends_has_the_head_of_its_joint_and_behind_a_shut_one_is_none() {
    let mut network = one(&[OPEN], &[OPEN]);
    network.sections.push(Section { from: Some(0), parts: vec![Part::Tube(tube())] });
    network.sections.push(Section { from: Some(0), parts: vec![SHUT] });
    network.sections.push(Section { from: Some(2), parts: vec![Part::Tube(tube())] });
    network.ends.push(End { at: Some(1), parts: vec![SHUT] });
    network.ends.push(End { at: Some(3), parts: vec![OPEN] });
    let found = run(&network, HEAD).unwrap();
    let heads_pa = found.sections.iter().chain(&found.ends).map(|carried| carried.head_pa.round());
    assert!(heads_pa.eq([5000.0, 5000.0, 0.0, 0.0, 5000.0, 5000.0, 0.0]));
    let still = found.sections[1..].iter().chain(&found.ends[1..]);
    assert!(still.map(|carried| carried.mass_flow_kg_s + carried.flow_l_h).sum::<f64>() == 0.0);
}

#[test]
fn work_is_counted_and_ends_the_search() {
    let network = one(&[Part::Tube(tube())], &[OPEN, Part::Tube(tube())]);
    let (pump, budget) = (Pump { drive: HEAD, density_kg_m3: 1000.0 }, Budget::units(5));
    let ended = network.solve(&pump, &budget, &mut Off);
    assert_eq!(ended, Err(MethodError::TooMuchWork { granted: 5 }));
}

#[test]
fn all_that_flows_rest_on_is_cited_and_only_the_point_of_work_is_shown() {
    use crate::methods::workings::{Book, Cited, Citing};
    let network = one(&[Part::Tube(tube())], &[Part::Tube(tube())]);
    let points = [(0.0, 50.0), (2000.0, 20.0)];
    let pump = Pump { drive: Drive::Curve { points: &points, speed: 0.9 }, density_kg_m3: 1000.0 };
    let (mut steps, cited) = (Vec::new(), Cited::default());
    network.solve(&pump, &Budget::unbounded(), &mut Citing::new(Book::new(&mut steps), &cited)).unwrap();
    let keys: Vec<_> = cited.sources().map(|source| source.key).collect();
    assert_eq!(keys, ["colebrook_white", "fluid_mechanics", "pump_laws", "declared_data"]);
    assert!(steps.iter().map(|step| step.name).eq(["flow_l_h", "head_kpa", "head_kpa", "hydraulic_w"]));
}

/// Kv 1.0001 in all: 360 l/h take 12.96 kPa. The search begins with 36 l/h through the narrow end alone, a hundred thousand bar.
#[test]
fn a_search_for_a_flow_comes_down_from_far_above() {
    let ends = [NARROW, OPEN].map(|valve| End { at: None, parts: vec![valve] }).to_vec();
    let network = Network { sections: Vec::new(), ends };
    let (ways, budget) = (Ways::new(&network).unwrap(), Budget::units(200));
    let top = Search::new(&ways, &budget).run(search::Goal::Flow(0.1, 20_000.0)).unwrap();
    assert!((top.flow_kg_s - 0.1).abs() < 1e-12);
    assert!((top.head_pa - 12_960.0 / (1.0001 * 1.0001)).abs() < 1e-6);
}

/// Found together, and sought one inside the other: two ways to the same flows, laminar and turbulent, at a head, on a curve and beyond it.
#[test]
fn both_ways_find_the_same() {
    let long = |length_m: f64, inside_diameter_mm: f64| {
        let bore = Bore { inside_diameter_mm, roughness_mm: 0.007 };
        Part::Tube(Tube { bore, length_m, ..tube() })
    };
    let from = |index: usize| index.checked_sub(1);
    let bores_mm = [20.0, 18.0, 16.0, 14.0].into_iter().enumerate();
    let sections = bores_mm.map(|(index, bore_mm)| Section { from: from(index), parts: vec![long(6.0, bore_mm)] });
    let ends = [vec![long(80.0, 12.0)], vec![OPEN, NARROW], vec![long(20.0, 6.8), OPEN], vec![long(3.0, 12.0), OPEN]];
    let ends = ends.into_iter().enumerate().map(|(index, parts)| End { at: Some(index), parts });
    let network = Network { sections: sections.collect(), ends: ends.collect() };
    let (ways, budget) = (Ways::new(&network).unwrap(), Budget::unbounded());
    let curve = [(0.0, 60.0), (500.0, 55.0), (2500.0, 0.0)];
    let drives = [50.0, 2000.0, 60_000.0].map(|head_pa| Drive::Constant { head_pa });
    for drive in drives.into_iter().chain([0.4, 1.0].map(|speed| Drive::Curve { points: &curve, speed })) {
        let pump = Pump { drive, density_kg_m3: 990.0 };
        let one = together::solve(&ways, &pump, &budget).unwrap().unwrap();
        let other = search::solve(&ways, &pump, &budget).unwrap();
        for (one, other) in one.carrying.ends.iter().zip(&other.carrying.ends) {
            assert!((one.flow_kg_s / other.flow_kg_s - 1.0).abs() < 1e-9, "{drive:?}: {one:?} {other:?}");
        }
    }
    let short = [(0.0, 60.0), (50.0, 55.0)];
    let pump = Pump { drive: Drive::Curve { points: &short, speed: 1.0 }, density_kg_m3: 990.0 };
    let beyond = |found: Result<(), MethodError>| match found {
        Err(MethodError::OutOfRange { value, max, .. }) => (value, max),
        other => panic!("{other:?}"),
    };
    let (one, max) = beyond(together::solve(&ways, &pump, &budget).map(drop));
    let (other, _) = beyond(search::solve(&ways, &pump, &budget).map(drop));
    assert!(one > max && (one / other - 1.0).abs() < 1e-9, "{one} {other}");
}

/// Wide valves along a laminar trunk that is all but shut: each takes all but the square root of what comes to it.
#[test]
fn says_where_the_far_ends_are_starved_beyond_what_can_be_followed() {
    let comb = |joints: usize| {
        let from = |index: usize| index.checked_sub(1);
        let trunk = |index: usize| if index == 0 { vec![NARROW, Part::Tube(tube())] } else { vec![Part::Tube(tube())] };
        Network {
            sections: (0..joints).map(|index| Section { from: from(index), parts: trunk(index) }).collect(),
            ends: (0..joints).map(|index| End { at: Some(index), parts: vec![OPEN] }).collect(),
        }
    };
    let found = run(&comb(5), HEAD).unwrap();
    assert!(found.ends[4].mass_flow_kg_s > 0.0 && found.ends[4].mass_flow_kg_s < 1e-12 * found.duty.mass_flow_kg_s);
    let starved = run(&comb(40), HEAD);
    assert!(matches!(starved, Err(MethodError::NotConverged { .. })), "{starved:?}");
}
