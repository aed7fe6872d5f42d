//! The hot-water circuit: while the cylinder is heated the whole flow goes through the primary and the coil.

use super::asks::Asks;
use super::options::{self, Candidate, Duty, Limit};
use super::pipe::Breaks;
use super::section::{Section, Warmth};
use super::sizing::{self, Verdict};
use crate::catalogue::offer::Tube;
use crate::design::own_pump::plant_drop;
use crate::design::source::Source;
use crate::design::units::{flow_l_h, kpa};
use crate::list::{Index, List};
use crate::methods::performance_map::head_available;
use crate::methods::water::Liquid;
use crate::methods::{Budget, MethodError, Off, Workings, carried_heat, en_442, fittings, last_steps, sums};
use crate::survey::{HotWaterRun, Rule, Survey, curve};

/// The hot-water circuit with its tube.
#[derive(Debug, Clone, PartialEq)]
pub struct HotWater {
    /// Its run.
    pub section: Section,
    /// What flows.
    pub liquid: Liquid,
    /// Pressure drop of the primary at its flow (Pa); 0 where none is told.
    pub primary_pa: f64,
    /// Pressure drop of the plant room at its flow (Pa).
    pub plant_pa: f64,
    /// Pressure drop of the coil (Pa).
    pub coil_pa: f64,
    /// Head that the heat source's own pump has at its flow (kPa); nothing where none is chosen.
    pub own_kpa: Option<f64>,
}

impl HotWater {
    /// Head of the whole (kPa).
    #[must_use]
    pub fn head_kpa(&self) -> f64 {
        kpa(self.section.drop_pa + self.primary_pa + self.plant_pa + self.coil_pa)
    }
}

/// What flows while hot water is made.
#[derive(Debug, Clone)]
pub(super) struct HotWaterFlow<'s> {
    pub circuit: &'s HotWaterRun,
    pub flow_kg_s: f64,
    pub liquid: Liquid,
    flow_c: f64,
    return_c: f64,
    plant_pa: f64,
    coil_pa: f64,
    own_kpa: Option<f64>,
    /// Steepest gradient that its tube may have (Pa/m), where the handbook's rule decides.
    steepest_pa_m: f64,
    /// Tubes of this circuit.
    candidates: List<Candidate>,
    /// Tubes of the primary as they are while hot water is made; none where no primary is told.
    pub primary: List<Candidate>,
}

impl<'s> HotWaterFlow<'s> {
    /// Flow and fluid by the heat source's output for hot water; nothing where the job tells no such circuit, or no heat
    /// source is chosen.
    pub(super) fn from_survey(
        (survey, budget): (&'s Survey, &Budget),
        source: &Source,
    ) -> Result<Option<Self>, MethodError> {
        let (Some(circuit), Some(candidate)) = (&survey.pipes.hot_water, source.candidate()) else { return Ok(None) };
        let flow_c = survey.plant.hot_water.flow_c;
        let drop_k = circuit.drop_k.unwrap_or(survey.heating.drop_k);
        let liquid = survey.heating.fluid.at(carried_heat::mean_temperature(flow_c, drop_k, &mut Off))?;
        let (heat_w, heat_j_kgk) = (candidate.hot_water_capacity_w, liquid.specific_heat_j_kgk);
        let flow_kg_s = en_442::mass_flow(heat_w, heat_j_kgk, drop_k, &mut Off);
        let volume_l_h = flow_l_h(flow_kg_s, liquid.density_kg_m3);
        let plant_pa = plant_drop(survey, volume_l_h, liquid.density_kg_m3, &mut Off)?;
        let coil_pa = fittings::kv_drop(volume_l_h, circuit.coil_kv_m3_h, liquid.density_kg_m3, &mut Off)?;
        let pump = curve(&survey.offer.heat_sources[candidate.offer].pump);
        let own_kpa = Some(head_available(&pump, volume_l_h, &mut Off)?);
        let duty = Duty { flow_kg_s, liquid: &liquid, hottest_c: flow_c, asks: Asks::default() };
        let candidates = options::candidates((survey, budget), &circuit.run, duty)?;
        let primary = match &survey.pipes.primary {
            Some(primary) => options::candidates((survey, budget), &primary.run, duty)?,
            None => List::default(),
        };
        let return_c = flow_c - drop_k;
        let sizing = survey.pipes.sizing;
        let steepest_pa_m = if sizing.rule == Rule::Gradient { sizing.gradient_max_pa_m } else { f64::INFINITY };
        Ok(Some(Self {
            circuit,
            flow_kg_s,
            liquid,
            flow_c,
            return_c,
            plant_pa,
            coil_pa,
            own_kpa,
            steepest_pa_m,
            candidates,
            primary,
        }))
    }

    fn duty(&self) -> Duty<'_> {
        Duty { flow_kg_s: self.flow_kg_s, liquid: &self.liquid, hottest_c: self.flow_c, asks: Asks::default() }
    }

    /// The cheapest tube that the pump can serve behind so much of a primary (Pa), and whether it can serve any; of those
    /// that cost the same the easiest.
    pub(super) fn tube_behind_primary(&self, primary_pa: f64) -> (Index<Candidate>, bool) {
        let left_pa = self.left_pa(primary_pa);
        let sound = |index: &Index<Candidate>| self.candidates[*index].broken.is_none_or(Limit::is_slow);
        let gentle = |index: &Index<Candidate>| self.candidates[*index].friction.gradient_pa_m <= self.steepest_pa_m;
        let usable: Vec<Index<Candidate>> =
            self.candidates.indices().filter(|index| sound(index) && gentle(index)).collect();
        let within = usable.iter().copied().filter(|&index| self.candidates[index].drop_pa <= left_pa);
        let cheapest = within.min_by(|&a, &b| {
            let (a, b) = (&self.candidates[a], &self.candidates[b]);
            a.cost.total_cmp(&b.cost).then(a.drop_pa.total_cmp(&b.drop_pa))
        });
        (cheapest.or_else(|| sizing::fallback(&self.candidates)).unwrap_or(Index::new(0)), cheapest.is_some())
    }

    /// Head that the pump has left for a tube behind so much of a primary (Pa).
    fn left_pa(&self, primary_pa: f64) -> f64 {
        let own_pa = self.own_kpa.map_or(f64::INFINITY, |own_kpa| 1000.0 * own_kpa);
        own_pa - primary_pa - self.plant_pa - self.coil_pa
    }

    /// The tubes behind so much of a primary (Pa), with what the pump cannot serve among their limits, and which is chosen.
    pub(super) fn served(&self, primary_pa: f64) -> (List<Candidate>, Index<Candidate>) {
        let left_pa = self.left_pa(primary_pa).max(0.0);
        let limited = self.candidates.iter().map(|candidate| {
            let too_much =
                Limit { breaks: Breaks::Pump, found: kpa(candidate.drop_pa), limit: kpa(left_pa), is_making: false };
            let broken = candidate.broken.or((candidate.drop_pa > left_pa).then_some(too_much));
            Candidate { broken, ..*candidate }
        });
        (limited.collect(), self.tube_behind_primary(primary_pa).0)
    }

    /// What a tube of this circuit costs.
    pub(super) fn cost(&self, pick: Index<Candidate>) -> f64 {
        self.candidates.get(pick).map_or(0.0, |candidate| candidate.cost)
    }

    /// The circuit with the tube that was chosen behind so much of a primary (Pa).
    pub(super) fn finish(
        &self,
        survey: &Survey,
        primary_pa: f64,
        (chosen, verdict): ((&List<Candidate>, Index<Candidate>), Option<Verdict>),
        w: &mut impl Workings,
    ) -> Result<HotWater, MethodError> {
        let warmth = Warmth { duty: self.duty(), legs_c: [self.flow_c, self.return_c] };
        let section =
            Section::with_tube(survey, &self.circuit.run, chosen, (warmth, verdict), &mut w.within("section"))?;
        self.show_head(survey, (section.drop_pa, primary_pa), w)?;
        let (liquid, plant_pa, coil_pa, own_kpa) = (self.liquid, self.plant_pa, self.coil_pa, self.own_kpa);
        Ok(HotWater { section, liquid, primary_pa, plant_pa, coil_pa, own_kpa })
    }

    /// Tells what plant room and coil take, and what the whole does.
    fn show_head<W: Workings>(
        &self,
        survey: &Survey,
        (section_pa, primary_pa): (f64, f64),
        w: &mut W,
    ) -> Result<(), MethodError> {
        let density_kg_m3 = self.liquid.density_kg_m3;
        let flow_l_h = flow_l_h(self.flow_kg_s, density_kg_m3);
        plant_drop(survey, flow_l_h, density_kg_m3, &mut w.within("plant_pressure_drop_pa"))?;
        let mut to_coil = w.within("coil_pressure_drop_pa");
        fittings::kv_drop(flow_l_h, self.circuit.coil_kv_m3_h, density_kg_m3, &mut to_coil)?;
        drop(to_coil);
        let mut to_head = w.within("head_kpa");
        let parts_pa = [section_pa, primary_pa, self.plant_pa, self.coil_pa];
        let head_pa = sums::sum(parts_pa, sums::and_pa, &mut to_head);
        last_steps::kpa(head_pa, &mut to_head);
        Ok(())
    }

    /// The tube of this circuit behind each tube of the primary, or the one where no primary is told.
    pub(super) fn tubes(&self) -> List<Candidate, Option<Index<Tube>>> {
        let tube = |primary_pa: f64| {
            self.candidates.get(self.tube_behind_primary(primary_pa).0).and_then(|candidate| candidate.tube)
        };
        if self.primary.is_empty() {
            return vec![tube(0.0)].into();
        }
        self.primary.iter().map(|candidate| tube(candidate.drop_pa)).collect()
    }
}
