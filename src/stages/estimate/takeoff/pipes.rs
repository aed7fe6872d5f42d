//! Tubes, their insulation, what joins heat source and system, and what the water is treated with.

use super::{TakeOff, entry, packs};
use crate::catalogue::glycol::Substance;
use crate::catalogue::products::Product;
use crate::estimate::takeoff::Item;
use crate::estimate::{Design, EstimateError};
use crate::estimate::{Unmet, Wanted};
use crate::list::Index;
use crate::methods::fluid::Fluid;
use crate::methods::{Off, glycol};
use crate::survey::{HEATING, Lagging, Survey};

impl TakeOff {
    pub(super) fn runs(&mut self, design: Design<'_>) {
        let survey = design.survey;
        let mut lengths: Vec<(Index<Product>, f64)> = Vec::new();
        let mut insulated: Vec<(Index<Product>, f64)> = Vec::new();
        for (_, run, section) in design.pipework.laid(survey) {
            let both_m = 2.0 * run.length_m;
            if let Some(tube) = section.tube.filter(|_| section.is_new()) {
                *entry(&mut lengths, survey.offer.tubes[tube].product) += both_m;
                self.quantities.tube_m += both_m;
            }
            // what is not laid or cannot be reached is not insulated
            if section.tube.is_none() {
                continue;
            }
            let parts = [(section.lagged, run.length_m - run.open_m), (section.lagged_open, run.open_m)];
            for (lagged, length_m) in
                parts.into_iter().filter(|(lagged, length_m)| lagged.thickness_mm * length_m > 0.0)
            {
                self.quantities.insulation_m += 2.0 * length_m;
                if let Some(offered) = lagged.offered {
                    *entry(&mut insulated, survey.offer.pipe_insulation[offered].product) += 2.0 * length_m;
                }
                let is_given = matches!(run.lagging, Lagging::Given(..));
                if lagged.is_wanting {
                    let product = Unmet::Product { product: Wanted::PipeInsulation };
                    self.want(if is_given { Unmet::GivenInsulation {} } else { product });
                }
            }
        }
        lengths.sort_by_key(|(product, _)| *product);
        let waste = 1.0 + survey.book.waste.tube;
        for (product, length_m) in lengths {
            if let (_, Product::Tube { pack_m, .. }) = survey.book.product(product) {
                let quantity_from = format!("{length_m:.1} m x {waste} / {pack_m}");
                let quantity = packs(length_m * waste, *pack_m);
                let (supply, least_charge) = (HEATING, None);
                self.items.push(Item { product, quantity, supply, quantity_from, is_run_tube: true, least_charge });
            }
        }
        insulated.sort_by_key(|(product, _)| *product);
        for (product, length_m) in insulated {
            if let (_, Product::PipeInsulation { pack_m, .. }) = survey.book.product(product) {
                let from = format!("{length_m:.1} m x {waste} / {pack_m}");
                self.add(product, packs(length_m * waste, *pack_m), HEATING, from);
            }
        }
    }

    /// What joins heat source and system: a vessel, a bypass and a second pump where the design asks for them.
    pub(super) fn joined(&mut self, design: Design<'_>) {
        let (survey, arrangement) = (design.survey, &design.hydraulics.arrangement);
        let way = design.pipework.joining.way();
        if let Some((bypass, _)) = way.bypass {
            self.quantities.bypass_valves += 1.0;
            let why = "keeps the heat source's least flow where thermostats shut".to_owned();
            self.add(survey.offer.bypasses[bypass].product, 1.0, HEATING, why);
        }
        if let Some(buffer) = way.buffer.filter(|_| way.kind.has_vessel()) {
            self.quantities.buffer_vessels += 1.0;
            let why = if arrangement.second_pump.is_some() {
                "low-loss header between heat source and system, each with a pump of its own"
            } else {
                "water for the heat source to defrost with and not to start too often"
            };
            self.add(survey.offer.buffers[buffer].product, 1.0, HEATING, why.to_owned());
        }
        if let Some(pump) = arrangement.second_pump {
            self.add(
                survey.offer.circulators[pump].product,
                1.0,
                HEATING,
                "circulates the system behind the buffer vessel".to_owned(),
            );
        }
        if let Some(wanted) = survey.pipes.primary.as_ref().and_then(|primary| primary.hoses) {
            let long_enough = survey.book.enumerate().filter_map(|(index, product)| {
                let Product::FlexibleHose { kv_m3_h, length_m, .. } = product else { return None };
                (*length_m >= wanted.length_m - 1e-9).then_some((index, *kv_m3_h))
            });
            match long_enough.clone().find(|(_, kv_m3_h)| *kv_m3_h >= wanted.kv_m3_h - 1e-9) {
                Some((hose, _)) => self.add(hose, 2.0, HEATING, "one on each leg of the outdoor unit".to_owned()),
                None => {
                    let reached_m3_h = long_enough.map(|(_, kv_m3_h)| kv_m3_h).fold(0.0, f64::max);
                    let (length_m, need_m3_h) = (wanted.length_m, wanted.kv_m3_h);
                    self.unmet.push(Unmet::Hoses { length_m, need_m3_h, reached_m3_h });
                }
            }
        }
        if survey.pipes.freeze.by_valves {
            let is_valve = |product: &Product| matches!(product, Product::FreezeValve { .. });
            if let Some(valve) = self.first(survey, Wanted::FreezeValve, is_valve) {
                self.add(valve, 2.0, HEATING, "one on each leg outdoors".to_owned());
            }
        }
    }

    /// What the water is treated with: inhibitor, or antifreeze that is inhibited already.
    pub(super) fn treated(&mut self, design: Design<'_>, system_l: f64) -> Result<(), EstimateError> {
        let survey = design.survey;
        match survey.heating.fluid {
            Fluid::Water => {
                let is_inhibitor = |product: &Product| matches!(product, Product::Inhibitor { .. });
                if let Some(index) = self.first(survey, Wanted::Inhibitor, is_inhibitor) {
                    if let (_, Product::Inhibitor { treats_l, .. }) = survey.book.product(index) {
                        let from = format!("{system_l:.2} l / {treats_l}");
                        self.add(index, packs(system_l, *treats_l), HEATING, from);
                    }
                }
            }
            Fluid::Glycol(wanted, fraction) => self.antifreeze(survey, wanted, fraction, system_l)?,
        }
        Ok(())
    }

    fn antifreeze(
        &mut self,
        survey: &Survey,
        wanted: glycol::Substance,
        fraction: f64,
        system_l: f64,
    ) -> Result<(), EstimateError> {
        let is_of = |substance: Substance| glycol::Substance::from(substance) == wanted;
        let is_wanted =
            |product: &Product| matches!(product, Product::Antifreeze { substance, .. } if is_of(*substance));
        let Some(index) = self.first(survey, Wanted::Antifreeze, is_wanted) else { return Ok(()) };
        let (_, Product::Antifreeze { substance, pack_l, .. }) = survey.book.product(index) else {
            return Ok(());
        };
        let measured_c = survey.defaults.antifreeze_measured_c.value;
        let mixture = glycol::glycol(wanted, fraction, measured_c).map_err(EstimateError::Antifreeze)?;
        let pure_kg_m3 = substance.density_kg_m3();
        let litres = glycol::undiluted(system_l, mixture.density_kg_m3, fraction, pure_kg_m3, &mut Off);
        let from = format!(
            "{system_l:.1} l of a mixture with {fraction} of its mass in {}: {litres:.1} l undiluted / {pack_l}",
            substance.words()
        );
        self.add(index, packs(litres, *pack_l), HEATING, from);
        Ok(())
    }
}
