//! Whether one circuit joins heat source and system, or a separation parts them. It is decided together with the tubes: the flow
//! decides before any is chosen, the head once they are.

use super::basis::Basis;
use super::open_ends::open_flow;
use super::sizing::Sizes;
use crate::design::emitters::Emitters;
use crate::design::own_pump::OwnPump;
use crate::design::source::Source;
use crate::design::units::kpa;
use crate::methods::MethodError;
use crate::survey::{Rule, Survey};

/// How heat source and system are joined, as far as it decides about tubes.
#[derive(Debug, Clone, PartialEq)]
pub struct Joining {
    /// The heat source's own pump: its flow is that of the whole unless a separation parts the two.
    pub own: OwnPump,
    /// Flow of the whole system (l/h).
    pub system_l_h: f64,
    /// Flow that is left to the heat source with every thermostat shut (l/h).
    pub open_l_h: f64,
    /// Least flow of the heat source (l/h); nothing where its data do not tell.
    pub least_l_h: Option<f64>,
    /// What parts the two; nothing where one circuit joins them.
    pub parted_by: Option<Parting>,
    /// What the system would take with tubes at least cost (kPa), where the own pump would carry that and not what the
    /// handbook's rule gives.
    pub least_would_do_kpa: Option<f64>,
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
    /// Less flow is left with all thermostats shut than the heat source runs with.
    MinimumFlow {
        /// Flow that is left (l/h).
        open_l_h: f64,
        /// Least flow of the heat source (l/h).
        least_l_h: f64,
    },
}

/// The flows that decide before any tube is chosen.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "the unit is in the name of every figure")]
pub(super) struct Flows {
    /// Flow of the whole system (l/h).
    pub system_l_h: f64,
    /// Flow with every thermostat shut (l/h).
    open_l_h: f64,
    /// Least flow of the heat source (l/h).
    least_l_h: Option<f64>,
}

impl Flows {
    pub(super) fn new(survey: &Survey, emitters: &Emitters, source: &Source, system_l_h: f64) -> Self {
        let least_l_h = source.reckoned().and_then(|chosen| survey.offer.heat_sources[chosen].minimum_flow_l_h);
        Self { system_l_h, open_l_h: open_flow(survey, emitters), least_l_h }
    }

    /// The least flow, where less is left with every thermostat shut and anything flows at all.
    fn parting(&self) -> Option<Parting> {
        let Self { system_l_h, open_l_h, least_l_h } = *self;
        let least_l_h = least_l_h.filter(|least_l_h| system_l_h > 0.0 && open_l_h < *least_l_h)?;
        Some(Parting::MinimumFlow { open_l_h, least_l_h })
    }

    /// Flow of the heat source's own pump (l/h): that of the system, or behind a separation its least if that is more.
    pub(super) fn unit_l_h(&self) -> f64 {
        match self.parting() {
            Some(Parting::MinimumFlow { least_l_h, .. }) => least_l_h.max(self.system_l_h),
            Some(Parting::Head { .. }) | None => self.system_l_h,
        }
    }
}

impl Joining {
    /// Chooses all tubes, and with them how the two are joined.
    pub(super) fn choose(basis: &Basis<'_>, own: OwnPump, flows: Flows) -> Result<(Self, Sizes), MethodError> {
        let Flows { system_l_h, open_l_h, least_l_h } = flows;
        let joined = Self { own, system_l_h, open_l_h, least_l_h, parted_by: None, least_would_do_kpa: None };
        if let Some(by_flow) = flows.parting() {
            return Ok((Self { parted_by: Some(by_flow), ..joined }, basis.behind_separation(&own, system_l_h)?));
        }
        let together = basis.in_one_circuit(&own)?;
        let takes_kpa = |rule: Rule| kpa(together.chosen(rule).head_pa + own.plant_pa);
        let takes = takes_kpa(basis.survey.pipes.sizing.rule);
        let Some(own_kpa) = own.head_kpa.filter(|own_kpa| system_l_h > 0.0 && *own_kpa < takes) else {
            return Ok((joined, together));
        };
        let least_would_do_kpa = Some(takes_kpa(Rule::LeastCost)).filter(|least_kpa| *least_kpa <= own_kpa);
        let parted_by = Some(Parting::Head { own_kpa, takes_kpa: takes });
        let apart = basis.behind_separation(&own, system_l_h)?;
        let is_beyond_pump = apart.is_beyond_pump || together.is_beyond_pump;
        Ok((Self { parted_by, least_would_do_kpa, ..joined }, Sizes { is_beyond_pump, ..apart }))
    }

    /// Whether a separation parts heat source and system.
    #[must_use]
    pub fn is_separated(&self) -> bool {
        self.parted_by.is_some()
    }
}
