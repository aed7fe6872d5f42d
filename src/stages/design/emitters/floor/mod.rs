//! One heated floor: the widest spacing that carries its share within the limits, and how it runs.

mod answer;
mod characteristic;
mod cooling;
mod covering;
mod known;
mod loops;
mod performance;
mod sections;
mod shown;
mod site;
mod spacings;
mod zone;

pub use answer::{CoolingRow, CoveringRow, FloorRow, LineRow, ZoneRow};
pub use cooling::FloorCooling;
pub(in crate::design) use loops::{bore as loop_bore, loop_drop};
pub use zone::{ByConduction, Zone};

pub use self::characteristic::Beyond;
use self::characteristic::Conduct;
use self::performance::Performance;
use self::site::Site;
use self::spacings::Best;
use self::zone::{Drive, Earlier, Plan, is_beyond};
use super::{Common, Emitter, Flowing, Kind, Tells, shares};
use crate::job::heated_floors::DesignOn;
use crate::list::Index;
use crate::methods::floor_loops::flow_of_each;
use crate::methods::{MethodError, Off, Workings, carried_heat, last_steps};
use crate::survey::HeatedFloor;
use crate::survey::{EmitterAt, Room};

/// A heated floor that was designed.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Its zones: the occupied one, then the edge zone if there is one.
    pub zones: Vec<Zone>,
    /// Lowest flow temperature at which it carries its share at the nominal drop, laid as it is (°C); nothing where its
    /// limits do not let it.
    pub least_flow_c: Option<f64>,
    /// The same, laid at the closest spacing that it may have.
    pub least_flow_if_closest_c: Option<f64>,
    /// Greatest covering under which it carries its share at the common flow temperature.
    pub greatest_covering: Option<covering::Greatest>,
    /// The same under timber.
    pub greatest_timber: Option<covering::Greatest>,
    /// What it gives under the worst covering that the job names (W), or where the tables end that do not reach it.
    pub under_worst_w: Option<Result<f64, Beyond>>,
    /// What it takes from its room in summer, where the job asks.
    pub cooling: Option<FloorCooling>,
    /// What it gives beside its output, as it is set.
    pub besides: Besides,
    /// The same at its load.
    pub at_load: Besides,
    /// Insulation that the standard asks for, and what there is, where that is less (m²K/W).
    pub thin: Option<(f64, f64)>,
    /// Spacings that lie outside the tables of its kind (m).
    pub passed_over_m: Vec<f64>,
    /// Characteristic value KWL of plates that conduct better than their table reaches.
    pub plates_beyond: Option<f64>,
}

/// What a floor gives beside its output into the room.
#[derive(Debug, Clone, PartialEq)]
pub struct Besides {
    /// Heat downward, that of its lines among it (W).
    pub downward_w: f64,
    /// Heat that its lines give to the rooms that they pass, by room (W).
    pub lines_w: Vec<(Index<Room>, f64)>,
}

impl Besides {
    /// All of it (W).
    #[must_use]
    pub fn whole_w(&self) -> f64 {
        self.downward_w + self.lines_w.iter().map(|(_, given_w)| given_w).sum::<f64>()
    }
}

impl Floor {
    /// The zone that people live in.
    ///
    /// Where all of it is edge zone, that.
    #[must_use]
    pub fn occupied(&self) -> &Zone {
        &self.zones[0]
    }

    /// Spacing of the zone that people live in (mm).
    #[must_use]
    pub fn spacing_mm(&self) -> f64 {
        crate::design::units::mm(self.occupied().plan.way.spacing_m)
    }

    /// Whether its surface limits hold it back, and not the water.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.zones.iter().all(|zone| zone.capacity_w_m2 >= zone.limit_w_m2 * (1.0 - 1e-9))
    }

    /// Output and limit of the zone that is furthest above its limits as it is set, where one is (W/m²).
    #[must_use]
    pub fn beyond_limit(&self) -> Option<(f64, f64)> {
        let zones = self.zones.iter().map(|zone| (zone.state.output_w_m2, zone.limit_w_m2));
        let beyond = zones.filter(|(output_w_m2, limit_w_m2)| is_beyond(*output_w_m2, *limit_w_m2));
        beyond.max_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)))
    }

    /// Its loops: length (m) and flow of each (kg/s).
    pub fn loops(&self) -> impl Iterator<Item = (f64, f64)> {
        self.zones.iter().flat_map(|zone| {
            let loops = f64::from(zone.loops.count);
            let one = (zone.loops.length_m, flow_of_each(zone.state.mass_flow_kg_s, loops, &mut Off));
            (0..zone.loops.count).map(move |_| one)
        })
    }

    /// Each zone with the place of its first loop among all of the floor.
    pub(super) fn first_loops(&self) -> impl Iterator<Item = (usize, &Zone)> {
        first_loops(&self.zones)
    }

    /// How many loops it has.
    #[must_use]
    pub fn loop_count(&self) -> u32 {
        self.zones.iter().map(|zone| zone.loops.count).sum()
    }

    /// Tube in all its loops (m).
    #[must_use]
    pub fn tube_m(&self) -> f64 {
        self.zones.iter().map(|zone| f64::from(zone.loops.count) * zone.loops.length_m).sum()
    }
}

/// Each zone with the place of its first loop among all of them.
fn first_loops(zones: &[Zone]) -> impl Iterator<Item = (usize, &Zone)> {
    zones.iter().scan(0, |next, zone| {
        let first = *next;
        *next += zone.loops.count as usize;
        Some((first, zone))
    })
}

/// A floor that is looked at.
#[derive(Clone, Copy)]
struct Look<'l> {
    common: &'l Common<'l>,
    floor: &'l HeatedFloor,
    site: &'l Site,
    /// How far conduction is asked for it.
    conduct: Conduct,
    /// Where it lies.
    at: EmitterAt,
    /// Whether other emitters of its room make up for what it cannot carry.
    is_helped: bool,
}

/// Designs a floor and runs it at its duty.
pub(super) fn design<W: Workings>(
    common: &Common<'_>,
    at: EmitterAt,
    load_w: f64,
    floor: &HeatedFloor,
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let site = Site::of_room(common, at.room, &mut w.within("downward_w"))?;
    // the friction of its loops goes by the viscosity of the water
    let [_, viscosity, _] = common.survey.heating.fluid.sources();
    w.cite(viscosity);
    let conduct = match floor.design_on {
        DesignOn::Standard {} => Conduct::No,
        DesignOn::Lower {} => Conduct::Beside,
        DesignOn::Conduction {} => Conduct::AlsoBeyond,
    };
    let is_helped = shares::is_helped(&common.survey.rooms[at.room].emitters, at.emitter);
    let mut look = Look { common, floor, site: &site, conduct, at, is_helped };
    let mut found = look.best(load_w)?;
    if let (Err(_), true) = (&found, floor.goes_by_conduction()) {
        look = Look { conduct: Conduct::AlsoBeyond, ..look };
        found = look.best(load_w)?;
    }
    let Best { plans, performance, passed_over_m } = match found {
        Ok(found) => found,
        Err(beyond) => return Ok(Emitter::none(load_w, common.flow_c, Kind::BeyondTables(beyond))),
    };
    let at_load = look.at_load(plans, &performance, load_w, w)?;
    emitter(look, load_w, (at_load, performance.capacity_w, passed_over_m), w)
}

/// The floor with everything that is told of it, from its zones at its load.
fn emitter<W: Workings>(
    look: Look<'_>,
    load_w: f64,
    (at_load, capacity_w, passed_over_m): (Vec<Zone>, f64, Vec<f64>),
    w: &mut W,
) -> Result<Emitter, MethodError> {
    let plans: Vec<Plan> = at_load.iter().map(|zone| zone.plan).collect();
    let zones = look.set(&at_load, w)?;
    let under_worst_w = look.under_worst(&plans)?;
    let mut told = if look.common.tells == Tells::All { look.told(load_w, &plans)? } else { FloorTold::default() };
    if look.common.tells >= Tells::Cooling {
        told.cooling = cooling::cooling(look, look.at.room, &plans, &mut w.within("floor"))?;
    }
    let FloorTold { least_flow_c, least_flow_if_closest_c, greatest_covering, greatest_timber, cooling } = told;
    let carried = look.flowing(&at_load);
    // a load that the floor carries to the last bit is carried
    let output_w = if carried.output_w >= load_w * (1.0 - 1e-12) { load_w } else { carried.output_w };
    let set = look.flowing(&zones);
    // nor does it give less as it is set
    let set = Flowing { output_w: last_steps::no_less(set.output_w, output_w, &mut Off), ..set };
    look.show_whole(&zones, &at_load, output_w, w)?;
    let found = Floor {
        least_flow_c,
        least_flow_if_closest_c,
        greatest_covering,
        greatest_timber,
        under_worst_w,
        cooling,
        besides: look.besides(&zones),
        at_load: look.besides(&at_load),
        thin: look.site.thin,
        passed_over_m,
        plates_beyond: plans.iter().find_map(|plan| characteristic::plates_beyond(look.floor, plan.way)),
        zones,
    };
    let (at_load, kind) = (Flowing { output_w, ..carried }, Kind::Floor(Box::new(found)));
    Ok(Emitter { load_w, capacity_w, set, at_load, kind })
}

/// What a floor tells beside how it runs.
#[derive(Default)]
struct FloorTold {
    least_flow_c: Option<f64>,
    least_flow_if_closest_c: Option<f64>,
    greatest_covering: Option<covering::Greatest>,
    greatest_timber: Option<covering::Greatest>,
    cooling: Option<FloorCooling>,
}

impl Look<'_> {
    /// What the zones as laid tell beside how they run.
    fn told(&self, load_w: f64, plans: &[Plan]) -> Result<FloorTold, MethodError> {
        let timber_max_c = self.common.survey.defaults.timber_surface_max_c.value;
        let least_flow_c = self.least_flow(plans, load_w)?;
        let least_flow_if_closest_c = self.least_flow_if_closest(load_w)?;
        let greatest_covering = self.greatest_covering(plans, load_w, None)?;
        let timber = self.greatest_covering(plans, load_w, Some(timber_max_c))?;
        // a closer limit bears no more; what is more by the search's own last digits is not
        let greatest_timber = timber.map(|timber| match greatest_covering {
            Some(any) if any.covering_m2k_w < timber.covering_m2k_w => any,
            Some(_) | None => timber,
        });
        Ok(FloorTold { least_flow_c, least_flow_if_closest_c, greatest_covering, greatest_timber, cooling: None })
    }

    /// The zones at their load, each at the same part of what it can give.
    fn at_load<W: Workings>(
        &self,
        plans: Vec<Plan>,
        performance: &Performance,
        load_w: f64,
        w: &mut W,
    ) -> Result<Vec<Zone>, MethodError> {
        let part = performance.part(load_w);
        let mut zones = Vec::with_capacity(plans.len());
        for (plan, run) in plans.into_iter().zip(&performance.runs) {
            let characteristic = self.characteristic(plan.way, &mut w.unshown())?;
            zones.push(self.zone((plan, characteristic), Drive::Part(part), &Earlier::Run(*run), &mut w.unshown())?);
        }
        if w.records() {
            for zone in &zones {
                self.show(zone, &mut w.within("at_load"))?;
            }
        }
        Ok(zones)
    }

    /// The zones as they are set: no less flow than each of their loops shows, and with a room thermostat the nominal drop as far
    /// as the surface bears that.
    fn set<W: Workings>(&self, at_load: &[Zone], w: &mut W) -> Result<Vec<Zone>, MethodError> {
        if let [zone] = at_load {
            return Ok(vec![self.set_zone(zone, w)?]);
        }
        let mut zones = Vec::with_capacity(at_load.len());
        for (zone, name) in at_load.iter().zip(["occupied_zone", "edge_zone"]) {
            let mut w = w.within("floor");
            zones.push(self.set_zone(zone, &mut w.within(name))?);
        }
        Ok(zones)
    }

    /// A zone as it is set, from how it runs at its load.
    fn set_zone<W: Workings>(&self, at_load: &Zone, w: &mut W) -> Result<Zone, MethodError> {
        let flow_kg_s = self.set_flow(at_load)?;
        let is_more = flow_kg_s > at_load.state.mass_flow_kg_s;
        let drive = if is_more { Drive::Flow(flow_kg_s, at_load.state.output_w_m2) } else { at_load.drive };
        let zone = if w.records() {
            let characteristic = self.characteristic(at_load.plan.way, w)?;
            self.zone((at_load.plan, characteristic), drive, &Earlier::Nothing, w)?
        } else if is_more {
            self.zone((at_load.plan, at_load.characteristic), drive, &at_load.known.free(), &mut Off)?
        } else {
            at_load.clone()
        };
        self.with_conduction(zone, &mut w.unshown())
    }

    /// Flow, mixed return and output of zones together.
    fn flowing(&self, zones: &[Zone]) -> Flowing {
        let returns = zones.iter().map(|zone| (zone.state.mass_flow_kg_s, zone.state.return_c));
        Flowing {
            output_w: zones.iter().map(|zone| zone.plan.area_m2 * zone.state.output_w_m2).sum(),
            return_c: carried_heat::mixed(returns, &mut Off).map_or(self.site.room_c, |mixed| mixed.mean_c),
            flow_kg_s: zones.iter().map(|zone| zone.state.mass_flow_kg_s).sum(),
        }
    }

    /// What zones give downward, and their lines to the rooms that they pass.
    fn besides(&self, zones: &[Zone]) -> Besides {
        let down = |zone: &Zone| zone.plan.area_m2 * zone.state.downward_w_m2 + zone.state.lines_down_w;
        let passes = self.floor.laying.passes.iter().enumerate();
        Besides {
            downward_w: zones.iter().map(down).sum(),
            lines_w: passes
                .map(|(index, &(room, _))| (room, zones.iter().map(|zone| zone.lines_up_w(index)).sum()))
                .collect(),
        }
    }
}
