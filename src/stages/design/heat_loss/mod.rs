//! Design heat loss of every room and of the dwelling, steady state, EN 12831.

mod air;
mod answer;
mod bridging;
mod fabric;
mod spaces;
mod stage;
mod trial;
mod u_values;
mod uncertainty;
mod warning;

pub use answer::{DwellingLoss, ElementLoss, HeatLossAnswer, RoomLoss, SpaceLoss, UValue};
pub use spaces::Space;
pub use uncertainty::{InputShare, Measurement, Percentiles, RoomPercentiles, Uncertainty, uncertainty};
pub use warning::Warning;

pub(super) use fabric::difference;

use super::DesignError;
use crate::list::{Index, List};
use crate::methods::{Workings, en_12831, last_steps, sums};
use crate::survey::{Survey, UnheatedSpace, Use};

/// Result of the stage; rooms, elements and constructions in the order of the survey.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatLoss {
    /// Outside design temperature (°C).
    pub outside_design_c: f64,
    /// U-value of each use of a construction (W/(m²K)).
    pub u_values_w_m2k: List<Use, f64>,
    /// Unheated spaces.
    pub spaces: List<UnheatedSpace, Space>,
    /// Loss of each room.
    pub rooms: List<crate::survey::Room, Room>,
    /// The dwelling as a whole.
    pub dwelling: Dwelling,
    /// What looks wrong.
    pub warnings: Vec<Warning>,
}

/// Temperatures beyond the heated rooms.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outside<'t> {
    /// Outside design temperature (°C).
    pub design_c: f64,
    /// Unheated spaces.
    pub spaces: &'t List<UnheatedSpace, Space>,
}

impl HeatLoss {
    /// Temperatures beyond the heated rooms.
    pub(super) fn outside(&self) -> Outside<'_> {
        Outside { design_c: self.outside_design_c, spaces: &self.spaces }
    }
}

/// Loss of one room.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// What each element lets through, thermal bridges apart.
    pub elements: Vec<Element>,
    /// Thermal bridges of the room (W).
    pub thermal_bridging_w: f64,
    /// Transmission to neighbouring rooms (W), part of `transmission_w`.
    pub to_rooms_w: f64,
    /// Transmission in all, thermal bridges among it (W).
    pub transmission_w: f64,
    /// Fresh air of the room, wherever it comes from (m³/h).
    pub air_flow_m3_h: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// What the height of the room adds (W).
    pub height_w: f64,
    /// What warming up after a setback adds (W).
    pub reheat_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
}

/// What one element lets through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Element {
    /// Temperature difference that stands across it, correction factors included (K).
    pub difference_k: f64,
    /// Transmission (W).
    pub transmission_w: f64,
    /// Its thermal bridges, where they are counted element by element (W).
    pub thermal_bridging_w: f64,
}

/// Loss of the dwelling: what passes its outer boundary. Flows between rooms cancel.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Dwelling {
    /// Transmission through the outer boundary (W).
    pub transmission_w: f64,
    /// Ventilation (W).
    pub ventilation_w: f64,
    /// What that is.
    pub ventilation_is: VentilationIs,
    /// Warming up after a setback (W).
    pub reheat_w: f64,
    /// Design heat loss (W).
    pub design_heat_loss_w: f64,
    /// Sum over rooms of outer transmission by the room's difference to outside (W/K).
    pub transmission_coefficient_w_k: f64,
    /// Sum over rooms of ventilation by the room's difference to outside, of as much as the dwelling counts (W/K).
    pub ventilation_coefficient_w_k: f64,
}

/// What the ventilation of a dwelling is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum VentilationIs {
    /// The sum of its rooms.
    #[default]
    SumOfRooms,
    /// Half of what leaks into its rooms, for air leaks in on one side at one time.
    SimultaneousInfiltration,
    /// The least air that hygiene asks for, which is more than that.
    LeastAir,
}

/// Computes the stage.
///
/// # Errors
/// [`DesignError::Method`] if a construction describes nothing physical.
pub fn compute<W: Workings>(survey: &Survey, w: &mut W) -> Result<HeatLoss, DesignError> {
    let u_values_w_m2k = u_values::u_values(survey, w)?;
    let (rooms, spaces, dwelling) = losses(survey, &u_values_w_m2k, w)?;
    let outside_design_c = survey.climate.outside_design_with(&mut w.at(|| "/heat_loss/outside_design_c".to_owned()));
    let too_high = |room: &crate::survey::Room| room.height_m > en_12831::CONVECTION_MAX_M && room.by_convection > 0.0;
    let high = survey.rooms.position(too_high);
    let mut warnings: Vec<Warning> = high.map(|room| Warning::HighRoom { room }).into_iter().collect();
    let by_area = |(index, room): (Index<crate::survey::Room>, &Room)| {
        (index, room.design_heat_loss_w / survey.rooms[index].floor_area_m2)
    };
    let corrected = rooms.enumerate().filter(|(_, room)| room.height_w > 0.0).map(by_area);
    let most = corrected.max_by(|a, b| a.1.total_cmp(&b.1));
    let beyond = most.filter(|(_, w_m2)| *w_m2 > en_12831::HIGH_ROOM_MAX_W_M2);
    warnings.extend(beyond.map(|(room, w_m2)| Warning::of_high_loss(room, w_m2)));
    Ok(HeatLoss { outside_design_c, u_values_w_m2k, spaces, rooms, dwelling, warnings })
}

/// Rooms, unheated spaces and the dwelling.
type Losses = (List<crate::survey::Room, Room>, List<UnheatedSpace, Space>, Dwelling);

/// Losses with given U-values.
fn losses<W: Workings>(survey: &Survey, u_values_w_m2k: &List<Use, f64>, w: &mut W) -> Result<Losses, DesignError> {
    let design_c = survey.climate.outside_design_c();
    let coefficients = bridging::shared_out(survey, w);
    let spaces = spaces::spaces(survey, design_c, u_values_w_m2k, w)?;
    let common = air::common(survey, design_c, w);
    let (mut dwelling, mut flows) = (Dwelling::default(), air::RoomFlow::default());
    let mut rooms = List::default();
    for (index, room) in survey.rooms.enumerate() {
        let outside = Outside { design_c, spaces: &spaces };
        let elements = fabric::elements(survey, index, outside, u_values_w_m2k, w);
        let bridges_w = bridging::by_coefficient(room, index, design_c, coefficients[index], w);
        let flow = air::of_room(survey, index, common, w);
        let loss = total(room, index, elements, bridges_w, flow, w);
        dwelling.add(&loss, room.inside_c - design_c, &mut w.at(|| "/heat_loss/dwelling".to_owned()));
        flows.add(flow);
        rooms.push(loss);
    }
    if survey.air.leakage().is_none() {
        let each = rooms.iter().map(|room| room.ventilation_w);
        sums::sum(each, sums::and_w, &mut w.at(|| "/heat_loss/dwelling/ventilation_w".to_owned()));
    }
    (dwelling.ventilation_w, dwelling.ventilation_is) = air::of_dwelling(survey, flows, w);
    if flows.loss_w > 0.0 {
        // as much less as strikes the rooms at one time
        let mut w = w.at(|| "/heat_loss/dwelling/ventilation_coefficient_w_k".to_owned());
        let (rooms_w_k, ventilation_w) = (dwelling.ventilation_coefficient_w_k, dwelling.ventilation_w);
        dwelling.ventilation_coefficient_w_k = en_12831::at_one_time(rooms_w_k, ventilation_w, flows.loss_w, &mut w);
    }
    let Dwelling { transmission_w, ventilation_w, reheat_w, .. } = dwelling;
    let mut to_whole = w.at(|| "/heat_loss/dwelling/design_heat_loss_w".to_owned());
    dwelling.design_heat_loss_w =
        en_12831::design_heat_loss(transmission_w, ventilation_w, 0.0, reheat_w, &mut to_whole);
    drop(to_whole);
    Ok((rooms, spaces, dwelling))
}

fn total<W: Workings>(
    room: &crate::survey::Room,
    index: Index<crate::survey::Room>,
    elements: Vec<Element>,
    bridges_w: f64,
    air: air::RoomFlow,
    w: &mut W,
) -> Room {
    let ventilation_w = air.loss_w;
    let mut w = w.at(|| format!("/heat_loss/rooms/{index}"));
    en_12831::volume(room.floor_area_m2, room.height_m, &mut w.within("volume_m3"));
    let bridges = elements.iter().map(|element| element.thermal_bridging_w).filter(|bridge_w| *bridge_w != 0.0);
    let mut to_bridges = w.within("thermal_bridging_w");
    let by_element_w = sums::sum(bridges, sums::and_w, &mut to_bridges);
    let thermal_bridging_w = sums::and_w(bridges_w, by_element_w, &mut to_bridges);
    drop(to_bridges);
    let to_rooms_w = fabric::to_rooms(room, &elements, &mut w.within("to_rooms_w"));
    let mut to_transmission = w.within("transmission_w");
    let each = elements.iter().map(|element| element.transmission_w);
    let elements_w = sums::sum(each, sums::and_w, &mut to_transmission);
    let transmission_w = en_12831::transmission_in_all(elements_w, thermal_bridging_w, &mut to_transmission);
    drop(to_transmission);
    let height_factor = en_12831::height_factor(room.height_m, room.by_convection);
    // a room that is warmed by its neighbours takes nothing more for its height
    let height_w = if height_factor > 1.0 && transmission_w + ventilation_w > 0.0 {
        en_12831::height_addition(transmission_w, ventilation_w, height_factor, &mut w.within("height_w"))
    } else {
        0.0
    };
    let reheat_w = if room.reheat_w_m2 > 0.0 {
        en_12831::reheat(room.floor_area_m2, room.reheat_w_m2, &mut w.within("reheat_w"))
    } else {
        0.0
    };
    let to_whole = &mut w.within("design_heat_loss_w");
    let design_heat_loss_w = en_12831::design_heat_loss(transmission_w, ventilation_w, height_w, reheat_w, to_whole);
    Room {
        elements,
        thermal_bridging_w,
        to_rooms_w,
        transmission_w,
        air_flow_m3_h: air.flow_m3_h,
        ventilation_w,
        height_w,
        reheat_w,
        design_heat_loss_w,
    }
}

impl air::RoomFlow {
    fn add(&mut self, room: Self) {
        self.flow_m3_h += room.flow_m3_h;
        self.loss_w += room.loss_w;
        self.infiltration_w += room.infiltration_w;
        self.least_w += room.least_w;
        self.other_w += room.other_w;
    }
}

impl Dwelling {
    fn add<W: Workings>(&mut self, room: &Room, difference_k: f64, w: &mut W) {
        let mut to_transmission = w.within("transmission_w");
        let outer_w = last_steps::beyond_others(room.transmission_w, room.to_rooms_w, &mut to_transmission);
        self.transmission_w = sums::and_w(self.transmission_w, outer_w, &mut to_transmission);
        drop(to_transmission);
        if room.reheat_w > 0.0 {
            self.reheat_w = sums::and_w(self.reheat_w, room.reheat_w, &mut w.within("reheat_w"));
        }
        let mut to_coefficient = w.within("transmission_coefficient_w_k");
        let outer_w_k = en_12831::coefficient(outer_w, difference_k, &mut to_coefficient);
        self.transmission_coefficient_w_k =
            sums::and_w_k(self.transmission_coefficient_w_k, outer_w_k, &mut to_coefficient);
        drop(to_coefficient);
        let mut to_coefficient = w.within("ventilation_coefficient_w_k");
        let air_w_k = en_12831::coefficient(room.ventilation_w, difference_k, &mut to_coefficient);
        self.ventilation_coefficient_w_k =
            sums::and_w_k(self.ventilation_coefficient_w_k, air_w_k, &mut to_coefficient);
    }
}
