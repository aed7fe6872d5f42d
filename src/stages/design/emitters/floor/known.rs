//! What a floor is worth at a spacing, kept for a question: it hangs on no flow temperature.

use super::Look;
use super::characteristic::{Characteristic, Conduct, Way};
use super::site::Site;
use crate::design::emitters::Tells;
use crate::design::known::{Key, Known};
use crate::list::Index;
use crate::survey::Emitter;

/// The characteristic of a floor, with all that it rests on beside the floor itself.
struct Kept {
    emitter: Index<Emitter>,
    way: Way,
    conduct: Conduct,
    site: Site,
    found: Characteristic,
}

impl Look<'_> {
    /// Where it is kept, where only how floors run is asked for: other questions try coverings without end.
    fn kept_in(&self) -> Option<&Known<'_>> {
        let known = self.common.known.filter(|_| self.common.tells == Tells::Duty)?;
        known.has(self.common.survey, self.at.room).then_some(known)
    }

    fn key(&self, way: Way) -> Key {
        (self.at.room, [way.spacing_m.to_bits(), way.covering_m2k_w.to_bits()])
    }

    /// The characteristic that was found before of the same floor.
    pub(super) fn known_characteristic(&self, way: Way) -> Option<Characteristic> {
        let kept = self.kept_in()?.get::<Kept>(&self.key(way))?;
        let is_same = kept.emitter == self.at.emitter
            && kept.way == way
            && kept.conduct == self.conduct
            && kept.site == *self.site;
        is_same.then_some(kept.found)
    }

    /// Keeps one.
    pub(super) fn keep_characteristic(&self, way: Way, found: Characteristic) {
        if let Some(known) = self.kept_in() {
            let (emitter, conduct, site) = (self.at.emitter, self.conduct, self.site.clone());
            known.keep(self.key(way), Kept { emitter, way, conduct, site, found });
        }
    }
}
