//! Valves of the price book held against the ways that they are part of.

use super::Gathering;
use crate::catalogue::products::{Product, ValvePreset};
use crate::intake::{Fault, FaultCode};
use crate::job::emitters::Emitter;
use crate::job::pipework::{Manifold, Pipework};
use crate::list::{Index, List};
use crate::survey::Survey;

impl Survey {
    /// The valves that a radiator is hung with: with a thermostatic head, or where it stays open without one, which the valves
    /// with a head are as well where the book has no others.
    #[must_use]
    pub fn radiator_valves(&self, stays_open: bool) -> Option<(Index<Product>, &[ValvePreset])> {
        let valves = || {
            self.book.enumerate().filter_map(|(index, product)| {
                let Product::RadiatorValves { thermostatic, presets, .. } = product else { return None };
                Some((index, *thermostatic == Some(false), presets.as_slice()))
            })
        };
        let wanted = valves().find(|(_, is_manual, _)| *is_manual == stays_open);
        let with_head = || valves().find(|(_, is_manual, _)| !is_manual);
        let found = wanted.or_else(with_head).or_else(|| valves().next());
        found.map(|(index, _, presets)| (index, presets))
    }
}

impl Gathering<'_> {
    /// The Kv of a radiator with its valves, or of the valves of a loop, holds the open valve: none that opens no wider than the
    /// whole can be part of it. The valves of radiators that stay are not those of the book.
    pub(super) fn check_open_valves(
        &mut self,
        written: &Pipework,
        radiator_kv_m3_h: f64,
        loops_kv_m3_h: &List<Manifold, f64>,
    ) {
        let open = |presets: fn(&Product) -> Option<&[ValvePreset]>| {
            let all = self.book.products.iter().filter_map(|(code, product)| Some((code, presets(product)?.last()?)));
            let narrowest = all.min_by(|(_, a), (_, b)| a.kv_m3_h.total_cmp(&b.kv_m3_h));
            narrowest.map(|(code, open)| (code.clone(), open.kv_m3_h))
        };
        let of_radiator = open(|product| {
            let Product::RadiatorValves { presets, .. } = product else { return None };
            Some(presets)
        });
        let of_loops = open(|product| {
            let Product::Manifold { presets, .. } = product else { return None };
            Some(presets)
        });
        let radiator_at = written.radiator_kv_m3_h.map_or("/pipework", |_| "/pipework/radiator_kv_m3_h");
        let radiator = (radiator_at.to_owned(), radiator_kv_m3_h, of_radiator, "a radiator with its valves");
        let loops = written.manifolds.iter().zip(loops_kv_m3_h).map(|((id, manifold), kv_m3_h)| {
            let at = format!("/pipework/manifolds/{id}");
            let at = manifold.loop_kv_m3_h.map_or_else(|| at.clone(), |_| format!("{at}/loop_kv_m3_h"));
            (at, *kv_m3_h, of_loops.clone(), "a loop with its valves")
        });
        let is_any_hung = self.job.rooms.values().flat_map(|room| room.emitters.values()).any(Emitter::is_chosen);
        let faults = Some(radiator).filter(|_| is_any_hung).into_iter().chain(loops).filter_map(|(at, whole_m3_h, open, what)| {
            let (code, open_m3_h) = open.filter(|(_, open_m3_h)| *open_m3_h <= whole_m3_h)?;
            let detail = format!(
                "{what} lets {whole_m3_h} m³/h through at 1 bar, and the valve {code}, which is part of it, {open_m3_h} m³/h when open"
            );
            let fault = Fault::new(at, FaultCode::OpenValveTooNarrow, detail).limit(open_m3_h);
            Some(fault.rests_on(format!("/commercial/price_book/products/{code}")))
        });
        let faults: Vec<Fault> = faults.collect();
        self.faults.extend(faults);
    }
}
