//! The circuits of the plant, and what keeps them from freezing.

use super::run::{self, Loss, Run};
use super::{Gathering, Pipework};
use crate::catalogue::products::Product;
use crate::intake::{Fault, FaultCode};
use crate::job::heating::Fluid;
use crate::job::pipework::Place;
use crate::survey::Climate;
use crate::survey::assumed::Pipes as Assumed;

/// The circuit between the outdoor unit and the plant room.
#[derive(Debug, Clone, PartialEq)]
pub struct Primary {
    /// Its tube.
    pub run: Run,
    /// Flexible hoses that connect the unit, one on each leg.
    pub hoses: Option<Hoses>,
}

/// Flexible hoses, one on each leg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hoses {
    /// Flow coefficient of one (m³/h).
    pub kv_m3_h: f64,
    /// Length of one (m).
    pub length_m: f64,
}

/// The circuit from the diverting valve to the cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct HotWaterRun {
    /// Its tube.
    pub run: Run,
    /// Flow coefficient of the coil (m³/h).
    pub coil_kv_m3_h: f64,
    /// Difference between flow and return (K); nothing where it is that of the heating.
    pub drop_k: Option<f64>,
}

/// What keeps water outdoors from freezing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Freeze {
    /// Whether valves let the water out before it freezes.
    pub by_valves: bool,
    /// Coldest air that is reckoned with (°C).
    pub coldest_c: f64,
}

impl Gathering<'_> {
    pub(super) fn primary(&mut self, written: &Pipework, climate: &Climate) -> Option<Primary> {
        let Some(primary) = &written.primary else {
            let has_freeze_valves = self.freeze_valve_kv(written).is_some();
            self.notes.add(&Assumed::NoPrimary { has_freeze_valves });
            return None;
        };
        let at = "/pipework/primary";
        let length_m = primary.length_m;
        if let Some(outdoor_m) = primary.outdoor_m.filter(|outdoor_m| *outdoor_m > length_m) {
            let detail = format!("{outdoor_m} m of it lie in the open, and it is {length_m} m long");
            self.faults
                .push(Fault::new(format!("{at}/outdoor_m"), FaultCode::LongerThanItsWhole, detail).limit(length_m));
        }
        let place = primary.place.unwrap_or(Place::Occupied);
        let told = (primary.outdoor_m, primary.surrounding_c);
        let (open_m, surrounding_c, open_c) = self.surroundings(place, length_m, told, climate);
        let mut losses = run::losses(&primary.fittings);
        losses.extend(primary.hoses.as_ref().map(|hoses| (Loss::Kv(hoses.kv_m3_h), 2.0)));
        losses.extend(self.freeze_valve_kv(written).map(|kv_m3_h| (Loss::Kv(kv_m3_h), 2.0)));
        let laid = self.laid(at, primary.existing_tube.as_deref(), None, primary.keep);
        let run = Run {
            id: "primary".to_owned(),
            at: at.to_owned(),
            from: None,
            length_m: primary.length_m,
            bends: primary.bends,
            losses,
            place,
            velocity_max_m_s: primary.velocity_max_m_s,
            open_m,
            surrounding_c,
            open_c,
            lagging: self.lagging(
                at,
                primary.insulation.as_ref(),
                written.insulation.as_ref(),
                (open_m, place, laid.is_none()),
            ),
            joists: None,
            laid,
            serves: Vec::new(),
        };
        let hoses = primary.hoses.as_ref().map(|hoses| Hoses { kv_m3_h: hoses.kv_m3_h, length_m: hoses.length_m });
        Some(Primary { run, hoses })
    }

    /// Flow coefficient of the freeze-protection valves of the price book, where the job wants them.
    fn freeze_valve_kv(&self, written: &Pipework) -> Option<f64> {
        let wanted = written.freeze_protection.as_ref().and_then(|protection| protection.valves) == Some(true);
        let mut valves = self.book.products.values().filter_map(|product| {
            let Product::FreezeValve { kv_m3_h, .. } = product else { return None };
            Some(*kv_m3_h)
        });
        valves.next().filter(|_| wanted)
    }

    pub(super) fn hot_water_run(&mut self, written: &Pipework, climate: &Climate) -> Option<HotWaterRun> {
        let circuit = written.hot_water_circuit.as_ref()?;
        let at = "/pipework/hot_water_circuit";
        let coil_kv_m3_h = circuit.coil_kv_m3_h.unwrap_or_else(|| {
            let coil_kv_m3_h = self.catalogue.defaults.coil_kv_m3_h.value;
            self.notes.add(&Assumed::CoilKv { coil_kv_m3_h });
            coil_kv_m3_h
        });
        let place = circuit.place.unwrap_or(Place::PlantRoom);
        let (open_m, surrounding_c, open_c) = self.surroundings(place, circuit.length_m, (None, None), climate);
        let laid = self.laid(at, circuit.existing_tube.as_deref(), None, circuit.keep);
        let run = Run {
            id: "hot_water_circuit".to_owned(),
            at: at.to_owned(),
            from: None,
            length_m: circuit.length_m,
            bends: circuit.bends,
            losses: run::losses(&circuit.fittings),
            place,
            velocity_max_m_s: None,
            open_m,
            surrounding_c,
            open_c,
            lagging: self.lagging(
                at,
                circuit.insulation.as_ref(),
                written.insulation.as_ref(),
                (open_m, place, laid.is_none()),
            ),
            joists: None,
            laid,
            serves: Vec::new(),
        };
        Some(HotWaterRun { run, coil_kv_m3_h, drop_k: circuit.drop_k })
    }

    pub(super) fn freeze(&mut self, written: &Pipework, climate: &Climate) -> Freeze {
        let protection = written.freeze_protection.as_ref();
        let by_valves = protection.and_then(|protection| protection.valves) == Some(true);
        let fluid = self.job.heating.as_ref().and_then(|heating| heating.fluid.as_ref());
        if by_valves && matches!(fluid, Some(Fluid::Glycol { .. })) {
            let detail = "freeze-protection valves and antifreeze are never fitted together: valves would let the mixture \
                          run into the ground, and what is filled in after it would not protect; choose one of the two";
            let fault = Fault::new("/pipework/freeze_protection/valves", FaultCode::BothFreezeProtections, detail);
            self.faults.push(fault.rests_on("/heating/fluid/kind"));
        }
        let coldest_c = protection.and_then(|protection| protection.coldest_c).unwrap_or_else(|| {
            let below_design_k = self.catalogue.defaults.coldest_air_below_design_k.value;
            let coldest_c = climate.outside_design_c() - below_design_k;
            self.notes.add(&Assumed::ColdestAir { coldest_c, below_design_k });
            coldest_c
        });
        Freeze { by_valves, coldest_c }
    }

    /// Where pipes lose their heat to, unless the job says it of each.
    pub(super) fn note_surroundings(&mut self, written: &Pipework) {
        let surrounding_c = self.catalogue.defaults.pipe_surrounding_c.value;
        self.notes.add(&Assumed::Surroundings { surrounding_c });
        if written.insulation.is_none() && written.runs.values().any(|run| run.insulation.is_none()) {
            self.notes.add(&Assumed::Bare {});
        }
    }
}
