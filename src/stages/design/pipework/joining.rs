//! How heat source and system are joined. It is decided together with the tubes: flow and head of the whole say whether the own pump can
//! carry it at all, and what stays open on a mild day whether it gets what it needs.

use super::laying::{For, Laying};
use super::left_open::{LeftOpen, Open, may_warm_k};
use super::mild_day::Mild;
use super::needs::Needs;
use super::ways::{self, Joined, Way};
use crate::catalogue::room_use::RoomUse;
use crate::design::DesignError;
use crate::design::emitters::Emitters;
use crate::design::own_pump::OwnPump;
use crate::design::units::kpa;
use crate::list::Index;
use crate::methods::{Off, Workings};
use crate::survey::{EmitterAt, Room, Rule, Survey};

/// How heat source and system are joined.
#[derive(Debug, Clone, PartialEq)]
pub struct Joining {
    /// The heat source's own pump: its flow is that of the whole unless a separation parts the two.
    pub own: OwnPump,
    /// Flow of the whole system (l/h).
    pub system_l_h: f64,
    /// What the heat source needs.
    pub needs: Needs,
    /// What is left to it with all thermostats shut, without bypass or vessel.
    pub mild: Mild,
    /// What parts the two whatever stays open; nothing where one circuit can join them.
    pub parted_by: Option<Parting>,
    /// What the system would take with tubes at least cost (kPa), where the own pump would carry that and not what the
    /// handbook's rule gives.
    pub least_would_do_kpa: Option<f64>,
    /// Every way that was looked at, the plainest first.
    pub ways: Vec<Way>,
    /// Which of them is taken.
    pub taken: usize,
}

/// What parts heat source and system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Parting {
    /// The own pump has less head than the system takes.
    Head {
        /// Head that it has (kPa).
        own_kpa: f64,
        /// Head that the system takes (kPa).
        takes_kpa: f64,
    },
    /// The system takes more flow than the heat source bears.
    GreatestFlow {
        /// Flow of the system (l/h).
        system_l_h: f64,
        /// Greatest flow of the heat source (l/h).
        most_l_h: f64,
    },
}

impl Joining {
    /// The way that is taken.
    #[must_use]
    pub fn way(&self) -> &Way {
        &self.ways[self.taken]
    }

    /// How the two are joined.
    #[must_use]
    pub fn kind(&self) -> Joined {
        self.way().kind
    }

    /// Whether a separation parts heat source and system.
    #[must_use]
    pub fn is_separated(&self) -> bool {
        self.kind() == Joined::Separated
    }

    /// Where the sensor of the heat source's control belongs: of the rooms that stay open the one with the greatest flow, but no
    /// bathroom and no bedroom, and none that is not carried, which would call for heat for ever.
    #[must_use]
    pub fn room_sensor(&self, survey: &Survey, emitters: &Emitters) -> Option<Index<Room>> {
        let is_cool = |left: &&LeftOpen| left.warms_k <= may_warm_k(survey, left.at.room);
        let is_fit = |left: &&LeftOpen| match survey.rooms[left.at.room].room_use {
            RoomUse::Living
            | RoomUse::LivingKitchen
            | RoomUse::Dining
            | RoomUse::Kitchen
            | RoomUse::Hall
            | RoomUse::Landing
            | RoomUse::Study => true,
            RoomUse::Bedroom
            | RoomUse::BedroomEnSuite
            | RoomUse::Bathroom
            | RoomUse::ShowerRoom
            | RoomUse::Toilet
            | RoomUse::Utility
            | RoomUse::Store
            | RoomUse::Dressing => false,
        };
        let flow_kg_s = |left: &&LeftOpen| emitters.emitter(left.at).set.flow_kg_s;
        let cold: Vec<_> = emitters.not_carried().into_iter().map(|(room, ..)| room).collect();
        let is_carried = |left: &&LeftOpen| !cold.contains(&left.at.room);
        let open = self.open().left.iter().filter(is_fit).filter(is_cool).filter(is_carried);
        open.max_by(|a, b| flow_kg_s(a).total_cmp(&flow_kg_s(b))).map(|left| left.at.room)
    }

    /// What stays open.
    #[must_use]
    pub fn open(&self) -> &Open {
        &self.way().open
    }
}

/// Why one circuit is not enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// Its pump cannot carry the system.
    Parted(Parting),
    /// Less flow is left with all thermostats shut than it runs with.
    LeastFlow {
        /// Flow that is left (l/h).
        open_l_h: f64,
        /// Least flow of the heat source (l/h).
        least_l_h: f64,
        /// Pressure across a radiator's valves that holds it down (kPa), where they would be heard.
        quiet_kpa: Option<f64>,
    },
    /// Less water is open to it with all thermostats shut than it needs.
    Water {
        /// Water that is open (l).
        open_l: f64,
        /// Water that it needs (l).
        needed_l: f64,
    },
}

impl Joining {
    /// Why the plainest way does not hold.
    #[must_use]
    pub fn reasons(&self, survey: &Survey) -> Vec<Reason> {
        if self.system_l_h <= 0.0 {
            return Vec::new();
        }
        let Mild { flow_l_h: open_l_h, water_l: open_l, is_hushed } = self.mild;
        let quiet_kpa = is_hushed.then_some(survey.defaults.valve_quiet_kpa.value);
        let least = self.needs.least_l_h.filter(|_| !self.needs.flow_holds(open_l_h));
        let water = self.needs.water_l.filter(|_| !self.needs.water_holds(open_l));
        let parted = self.parted_by.map(Reason::Parted);
        let least = least.map(|least_l_h| Reason::LeastFlow { open_l_h, least_l_h, quiet_kpa });
        let water = water.map(|needed_l| Reason::Water { open_l, needed_l });
        parted.into_iter().chain(least).chain(water).collect()
    }
}

/// Lays all tubes, and decides with them how the two are joined.
pub(super) fn join<'l, W: Workings>(
    for_what: For<'l>,
    needs: Needs,
    w: &mut W,
) -> Result<(Laying<'l>, Joining), DesignError> {
    let at = || DesignError::at("/pipework");
    let For { asked, system_l_h, .. } = for_what;
    let one = Laying::compute(for_what, (false, system_l_h), &mut w.unshown())?.set(&|_| false, &mut Off)?;
    let (parted_by, least_would_do_kpa) = parting(&one, &needs);
    let choice = one.left_open(&needs, asked.budget).map_err(at())?;
    let mut ways = ways::in_one_circuit(&one, &needs, (&choice, asked.budget)).map_err(at())?;
    let mild = ways[0].open.mild;
    let is_beyond_own = one.sizes.is_beyond_pump && matches!(parted_by, Some(Parting::Head { .. }));
    if parted_by.is_some() {
        ways.truncate(1);
        ways[0].holds = false;
    }
    let mut apart = None;
    if system_l_h > 0.0 && !ways[0].holds {
        let unit_l_h = needs.least_l_h.unwrap_or(0.0).max(system_l_h).min(needs.most_l_h.unwrap_or(f64::INFINITY));
        let other = Laying::compute(for_what, (true, unit_l_h), &mut w.unshown())?;
        let fewest = choice.fewest().unwrap_or(&ways[0].open);
        ways.push(ways::separated((&one, &other), &needs, (fewest, &ways[0].open)).map_err(at())?);
        apart = Some(other);
    }
    let taken = cheapest(&ways);
    let is_separated = ways[taken].kind == Joined::Separated;
    let chosen = match apart.filter(|_| is_separated) {
        Some(apart) => apart,
        None => one,
    };
    let is_beyond_pump = chosen.sizes.is_beyond_pump || is_beyond_own;
    let own = chosen.own;
    let open = ways[taken].open.clone();
    // once more, for its workings
    let chosen = if w.records() { Laying::compute(for_what, (is_separated, own.flow_l_h), w)? } else { chosen };
    let mut chosen = chosen.set(&|at: EmitterAt| open.contains(at), w)?;
    chosen.sizes.is_beyond_pump = is_beyond_pump;
    let joining = Joining { own, system_l_h, needs, mild, parted_by, least_would_do_kpa, ways, taken };
    Ok((chosen, joining))
}

/// What parts the two whatever stays open, and what tubes at least cost would take where the own pump has that (kPa).
fn parting(one: &Laying<'_>, needs: &Needs) -> (Option<Parting>, Option<f64>) {
    let system_l_h = one.system_l_h();
    if let Some(most_l_h) = needs.most_l_h.filter(|most_l_h| system_l_h > *most_l_h) {
        return (Some(Parting::GreatestFlow { system_l_h, most_l_h }), None);
    }
    let takes_kpa = |rule: Rule| kpa(one.sizes.chosen(rule).head_pa + one.own.plant_pa);
    let takes = takes_kpa(one.survey.pipes.sizing.rule);
    let Some(own_kpa) = one.own.head_kpa.filter(|own_kpa| system_l_h > 0.0 && *own_kpa < takes) else {
        return (None, None);
    };
    let least_would_do_kpa = Some(takes_kpa(Rule::LeastCost)).filter(|least_kpa| *least_kpa <= own_kpa);
    (Some(Parting::Head { own_kpa, takes_kpa: takes }), least_would_do_kpa)
}

/// The cheapest way that holds, of two alike the plainer; where none does the last, which parts the two.
fn cheapest(ways: &[Way]) -> usize {
    let holding = ways.iter().enumerate().filter(|(_, way)| way.holds);
    let cheapest = holding.min_by(|(_, a), (_, b)| a.cost.cmp(&b.cost));
    cheapest.map_or(ways.len() - 1, |(number, _)| number)
}
