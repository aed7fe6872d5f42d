//! The tubes that a run may have: what each takes and costs, and which limit it breaks.

use super::asks::Asks;
use super::pipe::Breaks;
use crate::catalogue::offer::Tube;
use crate::catalogue::products::TubeMaterial;
use crate::design::units::flow_l_h;
use crate::job::emitters::Keep;
use crate::job::pipework::Place;
use crate::list::{Index, List};
use crate::methods::friction::{self, Bore, Friction};
use crate::methods::water::Liquid;
use crate::methods::{Budget, MethodError, Off, Workings, fittings, handbook_zeta, joists, sums};
use crate::survey::{Loss, Run, Survey};

/// What a run must carry, and in what.
#[derive(Debug, Clone, Copy)]
pub(super) struct Duty<'d> {
    /// Flow (kg/s).
    pub flow_kg_s: f64,
    /// What flows.
    pub liquid: &'d Liquid,
    /// Hottest that it comes (°C).
    pub hottest_c: f64,
    /// What it asks of its tube by what it leads to.
    pub asks: Asks,
}

/// A limit that a tube breaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Which.
    pub breaks: Breaks,
    /// What was found, in the unit of the limit.
    pub found: f64,
    /// What is allowed.
    pub limit: f64,
    /// Whether it is broken while hot water is made, and not at the flow of heating.
    pub is_making: bool,
}

impl Limit {
    /// No bore explains the readings of a tube.
    pub(super) const UNEXPLAINED: Self = Self { breaks: Breaks::Unexplained, found: 0.0, limit: 0.0, is_making: false };

    /// A tube costs no less than what was taken.
    pub(super) const COST: Self = Self { breaks: Breaks::Cost, found: 0.0, limit: 0.0, is_making: false };

    /// A tube costs more, in head or in electricity, than it saves.
    pub(super) const HEAD: Self = Self { breaks: Breaks::Head, found: 0.0, limit: 0.0, is_making: false };

    /// Whether no tube that breaks it can be left in use, or laid at all.
    pub(super) fn is_hard(self) -> bool {
        match self.breaks {
            Breaks::Erosion | Breaks::Temperature | Breaks::Pressure | Breaks::Hole => true,
            Breaks::Noise
            | Breaks::Slow
            | Breaks::Gradient
            | Breaks::Feed
            | Breaks::Tail
            | Breaks::Unexplained
            | Breaks::Pump
            | Breaks::Cost
            | Breaks::Head => false,
        }
    }

    /// Whether it is only too slow to carry air along.
    pub(super) fn is_slow(self) -> bool {
        self.breaks == Breaks::Slow
    }

    /// Whether it keeps a tube from being taken, if there is another.
    fn weight(self) -> u8 {
        if self.is_hard() { 2 } else { u8::from(!self.is_slow()) }
    }

    /// The graver of two; of two alike the first.
    pub(super) fn graver(one: Option<Self>, other: Option<Self>) -> Option<Self> {
        match (one, other) {
            (Some(one), Some(other)) => Some(if other.weight() > one.weight() { other } else { one }),
            (one, other) => one.or(other),
        }
    }
}

/// A tube that a run may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Index into the offered tubes; nothing for one that nobody can see.
    pub tube: Option<Index<Tube>>,
    /// Whether it lies there already.
    pub is_existing: bool,
    /// Its flow.
    pub friction: Friction,
    /// Pressure drop of both legs (Pa).
    pub drop_pa: f64,
    /// What it costs to lay, in the currency of the book.
    pub cost: f64,
    /// The first limit that it breaks.
    pub broken: Option<Limit>,
}

impl Candidate {
    /// The limit that it breaks where its gradient is above the greatest (Pa/m).
    pub(super) fn steep(&self, limit: f64) -> Option<Limit> {
        let found = self.friction.gradient_pa_m;
        (found > limit).then_some(Limit { breaks: Breaks::Gradient, found, limit, is_making: false })
    }
}

/// Every tube that a run may have, by bore: the one that lies there, the new ones, or both, as it is to be kept. A tube that
/// nobody can see is not among them. Each is a unit of work.
pub(super) fn candidates(
    (survey, budget): (&Survey, &Budget),
    run: &Run,
    duty: Duty<'_>,
) -> Result<List<Candidate>, MethodError> {
    let (keep, there) = (run.laid.as_ref().map(|laid| laid.keep), run.existing_tube());
    let lies = there.filter(|_| keep != Some(Keep::Never)).map(|tube| (tube, true));
    let new = survey.pipes.tubes.iter().filter(|_| keep != Some(Keep::Always)).map(|&tube| (tube, false));
    let each = lies.into_iter().chain(new).map(|tube| {
        budget.spend(1)?;
        candidate(survey, run, tube, duty)
    });
    each.collect()
}

/// One tube of a run, and whether it lies there already.
pub(super) fn candidate(
    survey: &Survey,
    run: &Run,
    (tube, is_existing): (Index<Tube>, bool),
    duty: Duty<'_>,
) -> Result<Candidate, MethodError> {
    let friction = friction::in_tube(bore(survey, tube), duty.liquid, duty.flow_kg_s, &mut Off)?;
    let cost = if is_existing { 0.0 } else { 2.0 * run.length_m * survey.offer.tubes[tube].cost_per_m };
    let drop_pa = drop_of(survey, run, tube, &friction, duty.liquid, &mut Off)?;
    let broken = broken(survey, run, (tube, is_existing), friction.velocity_m_s, duty)?;
    Ok(Candidate { tube: Some(tube), is_existing, friction, drop_pa, cost, broken })
}

/// Pressure drop of both legs of a run in a tube (Pa).
pub(in crate::design) fn drop_of(
    survey: &Survey,
    run: &Run,
    tube: Index<Tube>,
    friction: &Friction,
    liquid: &Liquid,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let straight_pa = friction::drop_over(friction.gradient_pa_m, 2.0 * run.length_m, w);
    let zeta = zeta(survey, run, Some(tube), &mut Off);
    let mut local_pa = fittings::zeta_drop(2.0 * zeta, liquid.density_kg_m3, friction.velocity_m_s, w);
    let flow_kg_s = friction::mass_flow_at(bore(survey, tube), liquid, friction.velocity_m_s);
    let flow_l_h = flow_l_h(flow_kg_s, liquid.density_kg_m3);
    for (loss, count) in &run.losses {
        if let Loss::Kv(kv_m3_h) = loss {
            let valve_pa = fittings::kv_drop(flow_l_h, *kv_m3_h, liquid.density_kg_m3, w)?;
            local_pa = sums::and_count(local_pa, *count, valve_pa, w);
        }
    }
    Ok(sums::and_pa(straight_pa, local_pa, w))
}

/// Loss coefficients of a run, one way, all at its own velocity: its bends, the tee that it leaves by, and half of the
/// fittings that both legs have together. At the plant there is no tee.
pub(super) fn zeta(survey: &Survey, run: &Run, tube: Option<Index<Tube>>, w: &mut impl Workings) -> f64 {
    let tee = if run.from.is_some() { survey.pipes.tee_zeta } else { 0.0 };
    let bore_mm = tube.map_or(0.0, |tube| bore(survey, tube).inside_diameter_mm);
    let others = run.losses.iter().map(|(loss, count)| match loss {
        Loss::Zeta(zeta) => count * zeta,
        Loss::Named(name) => count * handbook_zeta::zeta(*name, bore_mm),
        Loss::Kv(_) => 0.0,
    });
    fittings::zeta_of_run(f64::from(run.bends), survey.pipes.bend_zeta, tee, others.sum(), w)
}

/// Greatest velocity that a run may have where it lies, for the noise of it (m/s).
pub(super) fn place_limit(survey: &Survey, run: &Run) -> f64 {
    let occupied_m_s = survey.pipes.sizing.velocity_max_m_s;
    run.velocity_max_m_s.unwrap_or(match run.place {
        Place::Bedroom => survey.defaults.bedroom_velocity_share.value * occupied_m_s,
        Place::Occupied | Place::Loft => occupied_m_s,
        Place::PlantRoom | Place::Unheated | Place::Outdoors => {
            survey.defaults.unoccupied_velocity_factor.value * occupied_m_s
        }
    })
}

/// Greatest velocity that a run may have in a tube: by its place, and by what the tube bears (m/s).
pub(in crate::design) fn velocity_limit(survey: &Survey, run: &Run, tube: Option<Index<Tube>>) -> f64 {
    let wears_m_s = tube.map_or(f64::INFINITY, |tube| erosion_limit(survey, tube));
    place_limit(survey, run).min(wears_m_s)
}

fn erosion_limit(survey: &Survey, tube: Index<Tube>) -> f64 {
    let unknown_m_s = survey.defaults.erosion_velocity_m_s.value;
    survey.offer.tubes[tube].material.map_or(unknown_m_s, TubeMaterial::erosion_m_s)
}

/// The inside of a tube on offer.
pub(in crate::design) fn bore(survey: &Survey, tube: Index<Tube>) -> Bore {
    let tube = &survey.offer.tubes[tube];
    Bore { inside_diameter_mm: tube.bore_m * 1000.0, roughness_mm: tube.roughness_m * 1000.0 }
}

/// The first limit that a tube breaks, the hard ones before the others.
fn broken(
    survey: &Survey,
    run: &Run,
    (tube, is_existing): (Index<Tube>, bool),
    velocity_m_s: f64,
    duty: Duty<'_>,
) -> Result<Option<Limit>, MethodError> {
    let offered = &survey.offer.tubes[tube];
    let hole_mm = match run.joists.filter(|_| !is_existing) {
        // whole millimetres, rounded down: what is cut is measured with a rule
        Some(crossed) => Some(joists::allowed(crossed.depth_mm, &mut Off)?.hole_mm.floor()),
        None => None,
    };
    let most = [
        (Breaks::Temperature, duty.hottest_c, offered.temperature_max_c),
        (Breaks::Pressure, survey.plant.pressure_max_bar, offered.pressure_max_bar),
        (Breaks::Erosion, velocity_m_s, Some(erosion_limit(survey, tube))),
        (Breaks::Hole, 1000.0 * offered.outside_m, hole_mm),
        (Breaks::Noise, velocity_m_s, Some(place_limit(survey, run))),
    ];
    let above = most.into_iter().find_map(|(breaks, found, limit)| {
        limit.filter(|limit| found > *limit).map(|limit| Limit { breaks, found, limit, is_making: false })
    });
    let above = above.or(by_what_it_leads_to(survey, run, tube, duty.asks));
    let least = survey.pipes.sizing.velocity_min_m_s.filter(|least_m_s| velocity_m_s < *least_m_s);
    Ok(above.or(least.map(|limit| Limit { breaks: Breaks::Slow, found: velocity_m_s, limit, is_making: false })))
}

/// The limit that a tube breaks by what its run leads to: narrower than a manifold wants it, or made for tails and laid as another
/// run or a longer one.
fn by_what_it_leads_to(survey: &Survey, run: &Run, tube: Index<Tube>, asks: Asks) -> Option<Limit> {
    let found_mm = bore(survey, tube).inside_diameter_mm;
    // a bore is an outside diameter less two walls, none of which is exact in binary
    let narrow = asks.bore_min_mm.filter(|least_mm| found_mm < least_mm - 1e-6);
    let narrow = narrow.map(|limit| Limit { breaks: Breaks::Feed, found: found_mm, limit, is_making: false });
    let tail_m = survey.offer.tubes[tube].tail_max_m.map(|most_m| if asks.is_tail { most_m } else { 0.0 });
    let long = tail_m.filter(|most_m| run.length_m > *most_m);
    narrow.or(long.map(|limit| Limit { breaks: Breaks::Tail, found: run.length_m, limit, is_making: false }))
}
