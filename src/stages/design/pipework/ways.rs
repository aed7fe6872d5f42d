//! The ways in which heat source and system can be joined, what each costs, and whether it holds.

use super::laying::Laying;
use super::left_open::{Choice, Open};
use super::mild_day::{Mild, Quiet};
use super::needs::Needs;
use crate::catalogue::labour::Per;
use crate::catalogue::offer::Circulator;
use crate::catalogue::offer::{Buffer, Bypass};
use crate::design::own_pump::plant_drop;
use crate::design::units::flow_kg_s;
use crate::list::Index;
use crate::methods::performance_map::head_available;
use crate::methods::{Budget, MethodError, Off, bypass, fittings, friction};
use crate::money::Money;
use crate::survey::{EmitterAt, Survey, curve};
use crate::terms;

/// How heat source and system are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joined {
    /// Its own pump carries the system, and what stays open is enough.
    Direct,
    /// The same, and a vessel in the return adds water.
    AddedWater,
    /// Its own pump carries the system, and a bypass lets flow through where thermostats shut.
    Bypass,
    /// The same, and a vessel in the return adds water.
    BypassAddedWater,
    /// A vessel parts it from the system, which a second pump carries.
    Separated,
}

terms! {
    codes of Joined {
        Direct: "direct";
        AddedWater: "added_water";
        Bypass: "bypass";
        BypassAddedWater: "bypass_added_water";
        Separated: "separated";
    }
}

impl Joined {
    /// Whether the heat source's own pump carries the system.
    #[must_use]
    pub fn is_one_circuit(self) -> bool {
        self != Self::Separated
    }

    /// Whether a vessel is part of it.
    #[must_use]
    pub fn has_vessel(self) -> bool {
        match self {
            Self::AddedWater | Self::BypassAddedWater | Self::Separated => true,
            Self::Direct | Self::Bypass => false,
        }
    }
}

/// One way to join them.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Which.
    pub kind: Joined,
    /// Whether it gives the heat source what it needs.
    pub holds: bool,
    /// What stays open in it.
    pub open: Open,
    /// Flow and water that are left to the heat source on a mild day, those of bypass and vessel among them.
    pub left: Mild,
    /// Water that a vessel must add or hold (l).
    pub added_water_l: f64,
    /// Index into the vessels on offer, where it has one; nothing where none is large enough.
    pub buffer: Option<Index<Buffer>>,
    /// Index into the bypass valves on offer, and the flow coefficient that it is set to (m³/h).
    pub bypass: Option<(Index<Bypass>, f64)>,
    /// Index into the circulators on offer, for a second pump.
    pub second_pump: Option<Index<Circulator>>,
    /// Hours that it adds (h).
    pub labour_h: f64,
    /// What it adds to the firm's cost: bypass, vessel and pump with their hours, and other tubes and valves than in the first way.
    /// Nothing where what it takes is not on offer.
    pub cost: Option<Money>,
}

/// The smallest vessel on offer that adds so much (l).
fn buffer(survey: &Survey, added_water_l: f64) -> Option<Index<Buffer>> {
    survey.offer.buffers.position(|buffer| buffer.volume_l >= added_water_l)
}

/// The cheapest circulator that carries flow and head (l/h, kPa), and of those the cheapest that carries another as well, if any does.
pub(in crate::design) fn second_pump(
    survey: &Survey,
    heating: (f64, f64),
    besides: Option<(f64, f64)>,
) -> Result<Option<Index<Circulator>>, MethodError> {
    let mut for_heating = None;
    for (index, pump) in survey.offer.circulators.enumerate() {
        let pump = curve(&pump.pump);
        let carries = |(flow_l_h, kpa): (f64, f64)| Ok(head_available(&pump, flow_l_h, &mut Off)? >= kpa);
        if carries(heating)? {
            if besides.map_or(Ok(true), carries)? {
                return Ok(Some(index));
            }
            for_heating = for_heating.or(Some(index));
        }
    }
    Ok(for_heating)
}

/// The ways in one circuit; the plainest alone where that holds, or nothing flows. A bypass is looked at beside each that may be left
/// open: with more of it there is less for the bypass to do, more water goes round, and fewer heads are bought.
pub(super) fn in_one_circuit(
    laying: &Laying<'_>,
    needs: &Needs,
    (choice, budget): (&Choice, &Budget),
) -> Result<Vec<Way>, MethodError> {
    let holds = |open: &Open| needs.flow_holds(open.mild.flow_l_h) && needs.water_holds(open.mild.water_l);
    let nothing = Open::default();
    let direct = plain(needs, choice.first_or_last(holds).unwrap_or(&nothing));
    if direct.holds || laying.system_l_h() <= 0.0 {
        return Ok(vec![Way { holds: true, ..direct }]);
    }
    let survey = laying.survey;
    let for_flow = choice.first_or_last(|open| needs.flow_holds(open.mild.flow_l_h)).unwrap_or(&nothing);
    let first = valves_cost(laying, &direct.open);
    let priced = |way: Way| {
        let more = valves_cost(laying, &way.open) - first;
        Way { cost: way.cost.map(|cost| cost + more), ..way }
    };
    let added_water = priced(with_vessel(survey, needs, Joined::AddedWater, plain(needs, for_flow)));
    let (mut bypass, mut both): (Option<Way>, Option<Way>) = (None, None);
    for open in choice.each() {
        let beside = bypassed(laying, needs, (open, budget))?;
        let with = with_vessel(survey, needs, Joined::BypassAddedWater, beside.clone());
        bypass = Some(better(bypass, priced(beside)));
        both = Some(better(both, priced(with)));
    }
    Ok([Some(direct), Some(added_water), bypass, both].into_iter().flatten().collect())
}

/// The one that holds: of two that do the cheaper, and of two that do not the one with more water; of two alike the first.
fn better(known: Option<Way>, other: Way) -> Way {
    let Some(known) = known else { return other };
    let is_better = match (known.holds, other.holds) {
        (true, true) => other.cost < known.cost,
        (false, false) => other.left.water_l > known.left.water_l,
        (is_held, _) => !is_held,
    };
    if is_better { other } else { known }
}

/// What is open alone.
fn plain(needs: &Needs, open: &Open) -> Way {
    Way {
        kind: Joined::Direct,
        holds: needs.flow_holds(open.mild.flow_l_h) && needs.water_holds(open.mild.water_l),
        left: open.mild,
        open: open.clone(),
        added_water_l: 0.0,
        buffer: None,
        bypass: None,
        second_pump: None,
        labour_h: 0.0,
        cost: Some(Money::ZERO),
    }
}

/// A way with a vessel in the return.
fn with_vessel(survey: &Survey, needs: &Needs, kind: Joined, way: Way) -> Way {
    let added_water_l = needs.wanting_l(way.left.water_l);
    let found = buffer(survey, added_water_l);
    let vessel = found.map(|index| &survey.offer.buffers[index]);
    let water_l = way.left.water_l + vessel.map_or(0.0, |vessel| vessel.volume_l);
    let left = Mild { water_l, ..way.left };
    let has_bypass = kind == Joined::AddedWater || way.bypass.is_some();
    Way {
        kind,
        holds: found.is_some() && has_bypass && needs.flow_holds(left.flow_l_h) && needs.water_holds(water_l),
        left,
        added_water_l,
        buffer: found,
        labour_h: way.labour_h + hours(survey, Per::BufferVessel),
        cost: way.cost.zip(vessel).map(|(cost, vessel)| cost + vessel.cost + cost_of_hours(survey, Per::BufferVessel)),
        ..way
    }
}

/// A bypass in the plant room, set so that the least flow goes round with what stays open. Heat source, primary and what lies up to it
/// hold the water that a defrost takes, and of what stays open so much as its share of the flow.
fn bypassed(laying: &Laying<'_>, needs: &Needs, (open, budget): (&Open, &Budget)) -> Result<Way, MethodError> {
    let survey = laying.survey;
    let least_l_h = needs.least_l_h.unwrap_or(0.0).max(open.mild.flow_l_h);
    let before_l = needs.unit_l + laying.primary_l();
    let emitters: Vec<EmitterAt> = open.left.iter().map(|left| left.at).collect();
    // the pump gives the least flow, and what plant room and primary leave of its head stands before bypass and system
    let left_pa =
        laying.left_at_pa(least_l_h)?.filter(|left_pa| *left_pa > 0.0 && !needs.flow_holds(open.mild.flow_l_h));
    let beside = left_pa.map(|left_pa| laying.beside_bypass(&emitters, left_pa, budget)).transpose()?;
    let found = match beside {
        Some(Quiet { flow_l_h, head_pa }) if flow_l_h < least_l_h => {
            let density_kg_m3 = laying.emitters.water.density_kg_m3;
            let kv_m3_h = fittings::kv_for(least_l_h - flow_l_h, head_pa, density_kg_m3, &mut Off)?;
            survey.offer.bypasses.position(|bypass| bypass.kv_m3_h >= kv_m3_h).map(|index| (index, kv_m3_h))
        }
        Some(_) | None => None,
    };
    let through_l_h = beside.map_or(open.mild.flow_l_h, |beside| beside.flow_l_h.min(least_l_h));
    let water_l = bypass::water(before_l, open.mild.water_l - before_l, through_l_h, least_l_h, &mut Off);
    let mild = Mild { flow_l_h: through_l_h, ..open.mild };
    Ok(Way {
        kind: Joined::Bypass,
        holds: found.is_some() && needs.water_holds(water_l),
        open: Open { mild, left: open.left.clone() },
        left: Mild { flow_l_h: if found.is_some() { least_l_h } else { through_l_h }, water_l, ..mild },
        added_water_l: 0.0,
        buffer: None,
        bypass: found,
        second_pump: None,
        labour_h: hours(survey, Per::BypassValve),
        cost: found.map(|(index, _)| survey.offer.bypasses[index].cost + cost_of_hours(survey, Per::BypassValve)),
    })
}

/// Hours of one of what norms are counted per (h).
fn hours(survey: &Survey, per: Per) -> f64 {
    // an empty sum is -0
    survey.book.labour.tasks.values().filter(|task| task.per == per).map(|task| task.labour_h).sum::<f64>() + 0.0
}

/// What these hours cost the firm.
fn cost_of_hours(survey: &Survey, per: Per) -> Money {
    survey.book.labour.hourly_cost.times(hours(survey, per)).unwrap_or(Money::ZERO)
}

/// The way by a separation, with its own tubes.
pub(super) fn separated(
    (one, apart): (&Laying<'_>, &Laying<'_>),
    needs: &Needs,
    (first, direct): (&Open, &Open),
) -> Result<Way, MethodError> {
    let survey = apart.survey;
    let water_l = needs.unit_l + apart.primary_l();
    let added_water_l = needs.wanting_l(water_l);
    let found = buffer(survey, added_water_l);
    let heating = (apart.system_l_h(), apart.head_kpa());
    let second = second_pump(survey, heating, None)?;
    let vessel = found.map(|index| &survey.offer.buffers[index]);
    let pump = second.map(|index| survey.offer.circulators[index].cost);
    let rule = survey.pipes.sizing.rule;
    let tubes = Money::from_f64(apart.sizes.chosen(rule).cost - one.sizes.chosen(rule).cost);
    let valves = valves_cost(one, first) - valves_cost(one, direct);
    let labour = cost_of_hours(survey, Per::BufferVessel);
    let parts = [vessel.map(|vessel| vessel.cost), pump, tubes, Some(valves), Some(labour)];
    let carries = apart.own.head_kpa.is_none_or(|own_kpa| own_kpa >= apart.before_kpa());
    Ok(Way {
        kind: Joined::Separated,
        holds: found.is_some() && second.is_some() && carries && needs.flow_holds(apart.own.flow_l_h),
        open: first.clone(),
        left: Mild {
            flow_l_h: apart.own.flow_l_h,
            water_l: water_l + vessel.map_or(0.0, |vessel| vessel.volume_l),
            is_hushed: false,
        },
        added_water_l,
        buffer: found,
        bypass: None,
        second_pump: second,
        labour_h: hours(survey, Per::BufferVessel),
        cost: parts.into_iter().collect::<Option<Vec<Money>>>().map(|parts| parts.into_iter().sum()),
    })
}

/// Cost of the valves of what is hung, where some of it stays open.
fn valves_cost(laying: &Laying<'_>, open: &Open) -> Money {
    let survey = laying.survey;
    let hung = laying.emitters.each().filter(|(_, emitter)| emitter.kind.is_hung());
    let each = hung.map(|(at, _)| {
        let valves = survey.radiator_valves(open.contains(at));
        valves.map_or(Money::ZERO, |(index, _)| survey.book.product(index).1.unit_cost())
    });
    each.sum()
}

impl Laying<'_> {
    /// Head that the own pump has left behind plant room and primary at a flow (Pa); nothing where no heat source is chosen.
    fn left_at_pa(&self, flow_l_h: f64) -> Result<Option<f64>, MethodError> {
        let Some(curve) = &self.curve else { return Ok(None) };
        let density_kg_m3 = self.emitters.water.density_kg_m3;
        let plant_pa = plant_drop(self.survey, flow_l_h, density_kg_m3, &mut Off)?;
        let primary_pa = match (&self.survey.pipes.primary, self.primary.and_then(|section| section.tube)) {
            (Some(primary), Some(tube)) => {
                let bore = super::options::bore(self.survey, tube);
                let liquid = &self.emitters.water;
                let found = friction::in_tube(bore, liquid, flow_kg_s(flow_l_h, density_kg_m3), &mut Off)?;
                super::options::drop_of(self.survey, &primary.run, tube, &found, liquid, &mut Off)?
            }
            (Some(_) | None, _) => 0.0,
        };
        Ok(Some(1000.0 * head_available(curve, flow_l_h, &mut Off)? - plant_pa - primary_pa))
    }
}
