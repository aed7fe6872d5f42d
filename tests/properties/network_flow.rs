//! Flows of random trees: what balances, what rises when a valve is turned, what changes nothing.

use proptest::prelude::*;
use tundish::methods::friction::{Bore, mass_flow_at, reynolds};
use tundish::methods::math::{exp, ln, sqrt};
use tundish::methods::network_flow::{Drive, End, Network, Part, Pump, Section, Solution, Tube, drop_of};
use tundish::methods::water::water;
use tundish::methods::{Budget, MethodError, Off};

/// Relative difference that rounding and the end of a search leave.
const ALIKE: f64 = 1e-9;

fn kv() -> impl Strategy<Value = f64> {
    // from a valve that is all but shut to a bypass
    (ln(1e-3)..ln(4.0)).prop_map(exp)
}

fn valve() -> impl Strategy<Value = Part> {
    (kv(), 980.0..1040.0_f64).prop_map(|(kv_m3_h, density_kg_m3)| Part::Valve { kv_m3_h, density_kg_m3 })
}

fn tube() -> impl Strategy<Value = Part> {
    let bore = prop::sample::select(vec![5.0, 8.6, 12.0, 13.6, 20.2, 26.2]);
    (bore, 0.0015..0.01_f64, 0.2..90.0_f64, 0.0..12.0_f64, 15.0..65.0_f64).prop_map(
        |(inside_diameter_mm, roughness_mm, length_m, zeta, water_c)| {
            let bore = Bore { inside_diameter_mm, roughness_mm };
            Part::Tube(Tube { bore, length_m, zeta, liquid: water(water_c).unwrap() })
        },
    )
}

fn parts(least: usize) -> impl Strategy<Value = Vec<Part>> {
    prop::collection::vec(prop_oneof![2 => valve(), 3 => tube()], least..4)
}

/// A tree whose ends are open, their places drawn among the sections and the pump.
fn tree() -> impl Strategy<Value = Network> {
    let sections = prop::collection::vec((any::<prop::sample::Index>(), parts(0)), 0..10);
    let ends = prop::collection::vec((any::<prop::sample::Index>(), parts(1)), 1..14);
    (sections, ends).prop_map(|(rows, ends)| {
        let mut network = Network::default();
        for (from, parts) in rows {
            let from = from.index(network.sections.len() + 1).checked_sub(1);
            network.sections.push(Section { from, parts });
        }
        let sections = network.sections.len();
        network.ends =
            ends.into_iter().map(|(at, parts)| End { at: at.index(sections + 1).checked_sub(1), parts }).collect();
        network
    })
}

/// A pump that no tree overruns: its curve falls to nothing. Flow and head of its middle point are shares.
#[derive(Debug, Clone)]
struct AnyPump {
    points: [(f64, f64); 3],
    speed: f64,
    is_constant: bool,
}

impl AnyPump {
    fn pump(&self) -> Pump<'_> {
        let drive = if self.is_constant {
            Drive::Constant { head_pa: 1000.0 * self.points[0].1 }
        } else {
            Drive::Curve { points: &self.points, speed: self.speed }
        };
        Pump { drive, density_kg_m3: 990.0 }
    }

    /// Head that it gives at a flow (Pa), worked out here.
    fn head_pa(&self, flow_l_h: f64) -> f64 {
        let [(_, first), (middle_l_h, middle), (last_l_h, _)] = self.points;
        let at_full_l_h = flow_l_h / self.speed;
        let head_kpa = match (self.is_constant, at_full_l_h < middle_l_h) {
            (true, _) => return 1000.0 * first,
            (false, true) => first - (first - middle) * at_full_l_h / middle_l_h,
            (false, false) => middle * (last_l_h - at_full_l_h) / (last_l_h - middle_l_h),
        };
        1000.0 * self.speed * self.speed * head_kpa
    }
}

fn pump() -> impl Strategy<Value = AnyPump> {
    (5.0..80.0_f64, 500.0..4000.0_f64, 0.2..0.8_f64, 0.3..0.99_f64, 0.3..1.0_f64, any::<bool>()).prop_map(
        |(head_kpa, last_l_h, flow, head, speed, is_constant)| AnyPump {
            points: [(0.0, head_kpa), (flow * last_l_h, head * head_kpa), (last_l_h, 0.0)],
            speed,
            is_constant,
        },
    )
}

fn solved(network: &Network, pump: &AnyPump) -> Solution {
    network.solve(&pump.pump(), &Budget::units(200_000), &mut Off).unwrap()
}

fn is_alike(one: f64, other: f64) -> bool {
    (one - other).abs() <= ALIKE * one.abs().max(other.abs())
}

fn shut() -> Part {
    Part::Valve { kv_m3_h: 0.0, density_kg_m3: 1000.0 }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    /// What enters a joint leaves it, every way takes the head that the pump gives at its flow, and the answer says how well.
    #[test]
    fn joints_and_ways_balance(network in tree(), pump in pump()) {
        let found = solved(&network, &pump);
        prop_assert!(found.residual <= ALIKE, "{:?}", found);
        let leaves = |joint: Option<usize>| -> f64 {
            let sections = network.sections.iter().zip(&found.sections).filter(|(section, _)| section.from == joint);
            let ends = network.ends.iter().zip(&found.ends).filter(|(end, _)| end.at == joint);
            sections.map(|(_, carried)| carried.mass_flow_kg_s).chain(ends.map(|(_, carried)| carried.mass_flow_kg_s)).sum()
        };
        prop_assert!(is_alike(found.duty.mass_flow_kg_s, leaves(None)));
        let head_pa = found.duty.head_pa;
        let greatest_pa = pump.head_pa(0.0);
        // a curve tells a head near nothing by the difference of two flows
        prop_assert!((head_pa - pump.head_pa(found.duty.flow_l_h)).abs() <= ALIKE * greatest_pa);
        let before_pa = |joint: Option<usize>| joint.map_or(head_pa, |section| found.sections[section].head_pa);
        for (index, (section, carried)) in network.sections.iter().zip(&found.sections).enumerate() {
            prop_assert!(is_alike(carried.mass_flow_kg_s, leaves(Some(index))));
            let drop_pa = drop_of(&section.parts, carried.mass_flow_kg_s, &mut Off).unwrap();
            prop_assert!((before_pa(section.from) - drop_pa - carried.head_pa).abs() <= ALIKE * before_pa(section.from));
        }
        let (mut worst, mut worst_end) = (0.0_f64, 0.0_f64);
        for (index, (end, carried)) in network.ends.iter().zip(&found.ends).enumerate() {
            prop_assert!(carried.mass_flow_kg_s > 0.0 && carried.head_pa > 0.0);
            prop_assert_eq!(carried.head_pa, before_pa(end.at));
            // up to the first joint where another way says otherwise
            let mut taken_pa = drop_of(&end.parts, carried.mass_flow_kg_s, &mut Off).unwrap();
            prop_assert!(is_alike(taken_pa, carried.head_pa));
            let mut joint = end.at;
            while let Some(section) = joint && before_pa(joint) == taken_pa {
                let flow_kg_s = found.sections[section].mass_flow_kg_s;
                taken_pa += drop_of(&network.sections[section].parts, flow_kg_s, &mut Off).unwrap();
                joint = network.sections[section].from;
            }
            let left_pa = before_pa(joint) - taken_pa;
            let share = left_pa.abs() / before_pa(joint);
            worst = worst.max(share);
            if index == found.worst_end {
                worst_end = share;
                prop_assert_eq!(found.worst_pa, left_pa);
            }
        }
        prop_assert_eq!(worst_end, worst);
        let off = if pump.is_constant { (head_pa - greatest_pa).abs() / head_pa.max(greatest_pa) } else { 0.0 };
        prop_assert!(found.residual == worst.max(off) || !pump.is_constant && found.residual >= worst);
    }

    /// With an end shut the pump's head, every other end's flow and every joint's head are no less, and the pump's flow no more.
    #[test]
    fn to_shut_an_end_gives_the_others_more(
        network in tree(), other in parts(1), pump in pump(), which in any::<prop::sample::Index>(),
    ) {
        let mut network = network;
        network.ends.push(End { at: network.sections.len().checked_sub(1), parts: other });
        let which = which.index(network.ends.len());
        let mut fewer = network.clone();
        fewer.ends[which].parts.push(shut());
        let (all, fewer) = (solved(&network, &pump), solved(&fewer, &pump));
        prop_assert_eq!(fewer.ends[which].mass_flow_kg_s, 0.0);
        prop_assert!(fewer.duty.flow_l_h <= all.duty.flow_l_h * (1.0 + ALIKE));
        prop_assert!(fewer.duty.head_pa >= all.duty.head_pa * (1.0 - ALIKE));
        for (index, (before, after)) in all.ends.iter().zip(&fewer.ends).enumerate() {
            prop_assert!(index == which || after.mass_flow_kg_s >= before.mass_flow_kg_s * (1.0 - ALIKE));
            prop_assert!(after.head_pa >= before.head_pa * (1.0 - ALIKE));
        }
    }

    /// A valve that is turned further open carries more, and no other end does.
    #[test]
    fn to_open_a_valve_gives_it_more(
        network in tree(), pump in pump(), which in any::<prop::sample::Index>(), kv_m3_h in kv(), wider in 1.01..3.0_f64,
    ) {
        let which = which.index(network.ends.len());
        let at = |kv_m3_h: f64| {
            let mut network = network.clone();
            network.ends[which].parts.push(Part::Valve { kv_m3_h, density_kg_m3: 990.0 });
            solved(&network, &pump)
        };
        let (narrow, wide) = (at(kv_m3_h), at(wider * kv_m3_h));
        for (index, (narrow, wide)) in narrow.ends.iter().zip(&wide.ends).enumerate() {
            let share = wide.mass_flow_kg_s / narrow.mass_flow_kg_s;
            if index == which {
                prop_assert!(share > 1.0 - ALIKE && share < wider * (1.0 + ALIKE));
            } else {
                prop_assert!(share < 1.0 + ALIKE);
            }
        }
        prop_assert!(wide.duty.flow_l_h >= narrow.duty.flow_l_h * (1.0 - ALIKE));
    }

    /// Neither the order of ends nor that of parts in series changes anything, nor a tube that is told in two pieces.
    #[test]
    fn order_and_pieces_change_nothing(network in tree(), pump in pump(), turned in any::<prop::sample::Index>()) {
        let found = solved(&network, &pump);
        let turned = turned.index(network.ends.len());
        let mut other = network.clone();
        other.ends.rotate_left(turned);
        let in_pieces = |part: &Part| match *part {
            Part::Tube(tube) => [0.3, 0.7].map(|share| {
                Part::Tube(Tube { length_m: share * tube.length_m, zeta: share * tube.zeta, ..tube })
            }).to_vec(),
            // two of root two times as wide
            Part::Valve { kv_m3_h, density_kg_m3 } => vec![Part::Valve { kv_m3_h: sqrt(2.0) * kv_m3_h, density_kg_m3 }; 2],
        };
        let ways = other.sections.iter_mut().map(|section| &mut section.parts);
        for parts in ways.chain(other.ends.iter_mut().map(|end| &mut end.parts)) {
            *parts = parts.iter().rev().flat_map(in_pieces).collect();
        }
        let mut same = solved(&other, &pump);
        same.ends.rotate_right(turned);
        prop_assert!(is_alike(same.duty.mass_flow_kg_s, found.duty.mass_flow_kg_s));
        for (same, found) in same.ends.iter().chain(&same.sections).zip(found.ends.iter().chain(&found.sections)) {
            prop_assert!(is_alike(same.mass_flow_kg_s, found.mass_flow_kg_s), "{:?} {:?}", same, found);
            prop_assert!((same.head_pa - found.head_pa).abs() <= ALIKE * pump.head_pa(0.0));
        }
    }

    /// A shut end, and all that lies behind a shut section, might as well not be there.
    #[test]
    fn what_is_shut_is_as_if_absent(
        network in tree(), pump in pump(), extra in prop::collection::vec((any::<prop::sample::Index>(), parts(1)), 1..4),
    ) {
        let found = solved(&network, &pump);
        let mut more = network.clone();
        let places = network.sections.len() + 1;
        for (at, parts) in &extra {
            more.ends.push(End { at: at.index(places).checked_sub(1), parts: [&parts[..], &[shut()]].concat() });
        }
        let (at, parts) = &extra[0];
        more.sections.push(Section { from: at.index(places).checked_sub(1), parts: [&[shut()], &parts[..]].concat() });
        more.sections.push(Section { from: Some(places - 1), parts: parts.clone() });
        more.ends.push(End { at: Some(places), parts: parts.clone() });
        let with = solved(&more, &pump);
        prop_assert_eq!(&with.sections[..places - 1], &found.sections[..]);
        prop_assert_eq!(&with.ends[..network.ends.len()], &found.ends[..]);
        prop_assert_eq!(with.duty, found.duty);
        prop_assert!(with.ends[network.ends.len()..].iter().all(|end| end.mass_flow_kg_s == 0.0));
        prop_assert!(with.sections[places - 1..].iter().all(|section| section.head_pa == 0.0));
    }

    /// Where all is valves, flow goes with Kv and with the root of the head.
    #[test]
    fn valves_scale(network in tree(), kv_times in 0.2..5.0_f64, head_times in 0.2..5.0_f64, head_pa in 1e3..5e4_f64) {
        let of = |times: f64| {
            let mut network = network.clone();
            let ways = network.sections.iter_mut().map(|section| &mut section.parts);
            for parts in ways.chain(network.ends.iter_mut().map(|end| &mut end.parts)) {
                for part in parts {
                    *part = match *part {
                        Part::Tube(tube) => Part::Valve { kv_m3_h: times * tube.zeta.max(0.1), density_kg_m3: 990.0 },
                        Part::Valve { kv_m3_h, density_kg_m3 } => Part::Valve { kv_m3_h: times * kv_m3_h, density_kg_m3 },
                    };
                }
            }
            network
        };
        let at = |times, head_pa| {
            let pump = Pump { drive: Drive::Constant { head_pa }, density_kg_m3: 990.0 };
            of(times).solve(&pump, &Budget::unbounded(), &mut Off).unwrap()
        };
        let (plain, other) = (at(1.0, head_pa), at(kv_times, head_times * head_pa));
        for (plain, other) in plain.ends.iter().zip(&other.ends) {
            prop_assert!(is_alike(other.mass_flow_kg_s, kv_times * sqrt(head_times) * plain.mass_flow_kg_s));
            prop_assert!(is_alike(other.head_pa, head_times * plain.head_pa));
        }
    }

    /// Where the tree takes more than the curve reaches, that is said, with no flow in its place.
    #[test]
    fn a_point_beyond_the_curve_is_refused(network in tree(), pump in pump(), share in 0.2..0.95_f64) {
        let free = solved(&network, &AnyPump { is_constant: false, ..pump.clone() });
        let head_kpa = |flow_l_h: f64| pump.head_pa(flow_l_h) / 1000.0 / pump.speed / pump.speed;
        let pump = AnyPump { is_constant: false, ..pump };
        let [first, middle, _] = pump.points;
        let last_l_h = share * free.duty.flow_l_h / pump.speed;
        let short: Vec<_> = [first, middle].into_iter().filter(|point| point.0 < last_l_h)
            .chain([(last_l_h, AnyPump::head_pa(&pump, last_l_h * pump.speed) / 1000.0 / pump.speed / pump.speed)]).collect();
        prop_assert!(head_kpa(0.0) > 0.0);
        let cut = Pump { drive: Drive::Curve { points: &short, speed: pump.speed }, density_kg_m3: 990.0 };
        match network.solve(&cut, &Budget::unbounded(), &mut Off) {
            Err(MethodError::OutOfRange { quantity: "flow_l_h", value, max, .. }) => {
                prop_assert!(is_alike(max, share * free.duty.flow_l_h) && value > max);
            }
            other => prop_assert!(false, "{other:?}"),
        }
    }
}

/// A trunk with many ends, of which some are all but shut and some run at 0.1 l/min, from laminar flow to turbulent.
#[test]
fn two_hundred_ends() {
    let liquid = water(35.0).unwrap();
    let tube = |inside_diameter_mm, length_m| {
        let bore = Bore { inside_diameter_mm, roughness_mm: 0.007 };
        Part::Tube(Tube { bore, length_m, zeta: 2.0, liquid })
    };
    let mut network = Network::default();
    for index in 0..100_usize {
        let from = index.checked_sub(1);
        network
            .sections
            .push(Section { from, parts: vec![tube(51.4 - 0.38 * f64::from(u32::try_from(index).unwrap()), 3.0)] });
        let kv_m3_h = [0.5, 0.2, 1e-3, 0.05, 1.1][index % 5];
        let valve = Part::Valve { kv_m3_h, density_kg_m3: liquid.density_kg_m3 };
        network.ends.push(End { at: Some(index), parts: vec![tube(12.0, 80.0), valve] });
        network.ends.push(End { at: Some(index), parts: vec![tube([3.0, 4.0, 5.0, 8.6][index % 4], 60.0)] });
    }
    for head_pa in [50.0, 500.0, 5_000.0, 50_000.0, 200_000.0] {
        let pump = Pump { drive: Drive::Constant { head_pa }, density_kg_m3: liquid.density_kg_m3 };
        let budget = Budget::units(20_000);
        let found = network.solve(&pump, &budget, &mut Off).unwrap();
        println!("{head_pa} Pa: {} steps, {:.1e}, {} units", found.iterations, found.residual, budget.spent());
        assert!(found.residual <= 1e-9);
    }
    let points = [(0.0, 80.0), (8000.0, 60.0), (16_000.0, 0.0)];
    let pump = Pump { drive: Drive::Curve { points: &points, speed: 0.9 }, density_kg_m3: 994.0 };
    let budget = Budget::units(60_000);
    let found = network.solve(&pump, &budget, &mut Off).unwrap();
    println!("curve: {} steps, {:.1e}, {} units", found.iterations, found.residual, budget.spent());
    assert!(found.residual <= 1e-9);
}

/// Heads at which a tube runs through all of the blend between laminar and turbulent.
#[test]
fn through_the_blend() {
    let liquid = water(40.0).unwrap();
    let bore = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
    let tube = |length_m| Part::Tube(Tube { bore, length_m, zeta: 0.0, liquid });
    let network = Network {
        sections: vec![Section { from: None, parts: vec![tube(5.0)] }],
        ends: [20.0, 11.0, 33.0].map(|length_m| End { at: Some(0), parts: vec![tube(length_m)] }).to_vec(),
    };
    let (mut last_kg_s, mut seen) = (0.0, 0);
    let most = mass_flow_at(bore, &liquid, 1.0);
    for step in 1..=4000 {
        let pump = Pump { drive: Drive::Constant { head_pa: 0.5 * f64::from(step) }, density_kg_m3: 990.0 };
        let found = network.solve(&pump, &Budget::unbounded(), &mut Off).unwrap();
        assert!(found.residual <= 1e-9 && found.iterations <= 300, "{step}: {found:?}");
        let flow_kg_s = found.duty.mass_flow_kg_s;
        assert!(flow_kg_s > last_kg_s && flow_kg_s < most);
        last_kg_s = flow_kg_s;
        let reynolds = reynolds(bore, &liquid, flow_kg_s, &mut Off).unwrap().1;
        seen += usize::from((2000.0..4000.0).contains(&reynolds));
    }
    assert!(seen > 50, "{seen} of the heads in the blend");
}

/// Sections that each part in two, seven joints deep: the shape that costs most.
#[test]
fn a_tree_that_parts_in_two_all_the_way() {
    let liquid = water(35.0).unwrap();
    let tube = |inside_diameter_mm, length_m| {
        let bore = Bore { inside_diameter_mm, roughness_mm: 0.0015 };
        Part::Tube(Tube { bore, length_m, zeta: 2.0, liquid })
    };
    let bores = [39.6, 32.6, 26.2, 20.2, 20.2, 13.6, 13.6];
    let mut network = Network::default();
    for index in 0..127_usize {
        let depth = usize::try_from((index + 1).ilog2()).unwrap();
        let from = (index + 1).checked_div(2).and_then(|half| half.checked_sub(1));
        let metres = 3.0 + f64::from(u32::try_from(index % 5).unwrap());
        network.sections.push(Section { from, parts: vec![tube(bores[depth], metres)] });
    }
    for index in 0..128_usize {
        let kv_m3_h = [0.5, 0.2, 1e-3, 0.05, 1.1][index % 5];
        let valve = Part::Valve { kv_m3_h, density_kg_m3: liquid.density_kg_m3 };
        network.ends.push(End { at: Some(63 + index / 2), parts: vec![tube(12.0, 8.0), valve] });
    }
    let points = [(0.0, 80.0), (8000.0, 60.0), (16_000.0, 0.0)];
    let pump = Pump { drive: Drive::Curve { points: &points, speed: 0.9 }, density_kg_m3: 994.0 };
    let budget = Budget::units(400_000);
    let found = network.solve(&pump, &budget, &mut Off).unwrap();
    println!("halves: {} steps, {:.1e}, {} units", found.iterations, found.residual, budget.spent());
    assert!(found.residual <= 1e-9);
}
