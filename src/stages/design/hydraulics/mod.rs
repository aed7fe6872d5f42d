//! What the pumps do in the pipes: whether the heat source's own carries the system, the water that it needs about it, a second
//! one behind a separation, their duty, what floors take while they cool, and what balances every way.
//!
//! - `arrangement`: the second pump behind a separation
//! - `duty`: the pumps turned down to their duty, and what they cannot carry
//! - `cooling`: the circuits while floors cool
//! - `hidden_heat`: what hidden tubes let through
//! - `frost`: what can freeze outdoors
//! - `answer`: pipes and pumps as they are answered together

mod answer;
mod arrangement;
mod cooling;
mod duty;
mod frost;
mod hidden_heat;
mod stage;
mod unmet;
mod warning;

pub use answer::{ArrangementRow, CoolingCircuitRow, LeftOpenRow, PipeworkAnswer, PumpRow, WayRow};
pub use arrangement::Arrangement;
pub use cooling::CoolingFlow;
pub use unmet::Unmet;
pub use warning::{Untold, Warning};

use super::DesignError;
use super::emitters::Emitters;
use super::pipework::{Delivered, Pipework};
use super::source::Source;
use super::stage::Asked;
use crate::methods::performance_map::head_available;
use crate::methods::pump_laws::Speed;
use crate::methods::{MethodError, Off, Workings};
use crate::survey::{Survey, curve};
use duty::Duty;
use hidden_heat::HiddenHeat;

/// Result of the stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Hydraulics {
    /// What carries the system.
    pub arrangement: Arrangement,
    /// Speed at which the pump that carries the system gives its head; nothing where it cannot.
    pub speed: Option<Speed>,
    /// Power that the water takes (W).
    pub hydraulic_w: f64,
    /// Electricity that it takes there (W): by its data, or where these tell none at the efficiency that tubes are weighed with.
    pub electric_w: f64,
    /// Head that the heat source's own pump carries (kPa): the whole, or before a separation primary and plant room.
    pub carried_kpa: f64,
    /// Speed of that pump, for what it carries.
    pub unit_speed: Option<Speed>,
    /// The circuits while floors cool.
    pub cooling: Option<Cooling>,
    /// Heat of each tube that nobody can see; nothing where another is laid in its place, where nothing flows, or no bore explains its
    /// readings.
    pub delivered: Vec<Option<Delivered>>,
    /// Needs that are not met.
    pub unmet: Vec<Unmet>,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// What the system takes while floors cool, and the pump that carries it.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// Flow and head.
    pub flow: CoolingFlow,
    /// Head that the pump which carries the system has at that flow (kPa).
    pub pump_kpa: Option<f64>,
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if a pump's data or the water describe nothing physical.
pub fn compute<W: Workings>(
    asked: Asked<'_>,
    emitters: &Emitters,
    source: &Source,
    pipework: &Pipework,
    w: &mut W,
) -> Result<Hydraulics, DesignError> {
    let survey = asked.survey;
    let of_plant = || DesignError::at("/plant");
    let cooled = cooling::cooled(survey, emitters, source, pipework, w).map_err(DesignError::at("/cooling"))?;
    let taken = cooled.as_ref().map(|flow| (flow.flow_l_h, flow.head_kpa));
    let arrangement = arrangement::arrange(survey, pipework, taken).map_err(of_plant())?;
    let HiddenHeat { each: delivered, unmet: too_little, warnings: maybe_too_little } =
        hidden_heat::delivered(asked, emitters, source, (pipework, &arrangement))
            .map_err(DesignError::at("/pipework"))?;
    let duty = Duty::compute(survey, source, pipework, &arrangement, w).map_err(of_plant())?;
    let heating = duty::heating_unmet(survey, pipework, &arrangement, &duty).map_err(of_plant())?;
    let cooling = match cooled {
        Some(flow) => {
            let pump_kpa = cooling_pump_kpa(survey, pipework, (&arrangement, &flow)).map_err(of_plant())?;
            Some(Cooling { flow, pump_kpa })
        }
        None => None,
    };
    let unmet_cooling = match &cooling {
        Some(Cooling { flow, pump_kpa }) => {
            duty::cooling_unmet(survey, pipework, flow, *pump_kpa).map_err(of_plant())?
        }
        None => Vec::new(),
    };
    let frost = frost::frost(survey, source, (pipework, cooling.is_some())).map_err(DesignError::at("/heating"))?;
    let making = duty::making_unmet(pipework);
    let unmet = [making, too_little, heating, unmet_cooling].concat();
    let of_cooling = cooling.iter().flat_map(|cooling| cooling.flow.warnings());
    let untold = duty::untold(survey, source);
    let warnings = maybe_too_little.into_iter().chain(untold).chain(of_cooling).chain(frost).collect();
    let Duty { speed, hydraulic_w, electric_w, carried_kpa, unit_speed } = duty;
    Ok(Hydraulics {
        arrangement,
        speed,
        hydraulic_w,
        electric_w,
        carried_kpa,
        unit_speed,
        cooling,
        delivered,
        unmet,
        warnings,
    })
}

/// Head that the pump which carries the system has while floors cool (kPa).
fn cooling_pump_kpa(
    survey: &Survey,
    pipework: &Pipework,
    (arrangement, flow): (&Arrangement, &CoolingFlow),
) -> Result<Option<f64>, MethodError> {
    if !pipework.joining.is_separated() {
        return Ok(flow.own_kpa);
    }
    let second = arrangement.second_pump.map(|index| curve(&survey.offer.circulators[index].pump));
    second.map(|pump| head_available(&pump, flow.flow_l_h, &mut Off)).transpose()
}
