//! What a job may say and hardly means.

use jiff::civil::Date;

use super::Gathering;
use super::constructions::{Construction, Use};
use super::doubted::Doubted;
use crate::job::commercial::{Commercial, Grant};
use crate::job::rooms::Part;
use crate::list::List;

/// How often the floor area of its room a floor, ceiling or roof may have before it is doubted (our own choice).
const MOST_FLOORS: f64 = 10.0;

/// Years after the first day of the newest rule from which on no rule is thought to tell of a date (our own choice).
const RULES_REACH_YEARS: i16 = 10;

impl Gathering<'_> {
    /// Rooms that lose nothing through what bounds them, surfaces far larger than their rooms, and constructions that nothing is made of.
    pub(super) fn doubt_fabric(&mut self, constructions: &List<Construction>, found: &List<Use>) {
        for (room, written) in &self.job.rooms {
            if written.surfaces.is_empty() {
                self.notes.add(&Doubted::RoomWithoutSurfaces { room: room.clone() });
            }
            for part in [Part::Floor, Part::Ceiling, Part::Roof] {
                let flat = || written.surfaces.iter().filter(|(_, told)| told.part == part);
                let (area_m2, floor_area_m2) =
                    (flat().map(|(_, told)| told.area_m2).sum::<f64>(), written.floor_area_m2);
                let largest = flat().max_by(|(_, a), (_, b)| a.area_m2.total_cmp(&b.area_m2));
                if let Some((surface, _)) = largest.filter(|_| area_m2 >= MOST_FLOORS * floor_area_m2 * (1.0 - 1e-9)) {
                    let (room, surface) = (room.clone(), surface.clone());
                    self.notes.add(&Doubted::SurfaceLargerThanRoom { room, surface, area_m2, floor_area_m2 });
                }
            }
        }
        for (index, construction) in constructions.indices().zip(self.job.constructions.keys()) {
            if !found.iter().any(|known| known.construction == index) {
                self.notes.add(&Doubted::ConstructionUnused { construction: construction.clone() });
            }
        }
    }

    /// Dates that no rule is likely to tell of, or that do not go together.
    pub(super) fn doubt_dates(&mut self, written: &Commercial, quote_date: Date, programme_start: Date) {
        self.doubt_date("/commercial/quote_date", quote_date);
        for (index, payment) in written.stage_payments.iter().enumerate() {
            self.doubt_date(&format!("/commercial/stage_payments/{index}/tax_point"), payment.tax_point);
        }
        self.doubt_date("/commercial/programme_start", programme_start);
        if let Some(Grant::Scheme { application_date, .. }) = &written.grant {
            self.doubt_date("/commercial/grant/application_date", *application_date);
        }
        let quoted = i64::from(quote_date.year());
        let ahead = self.job.dwelling.construction_year.filter(|year| i64::from(*year) > quoted + 1);
        if let Some(construction_year) = ahead {
            self.notes.add(&Doubted::BuiltAhead { construction_year, quote_date: quote_date.to_string() });
        }
        if programme_start < quote_date {
            let (programme_start, quote_date) = (programme_start.to_string(), quote_date.to_string());
            self.notes.add(&Doubted::ProgrammeBeforeQuote { programme_start, quote_date });
        }
    }

    /// A date that no rule of the book is likely to tell of.
    fn doubt_date(&mut self, at: &str, date: Date) {
        let newest = self.book.rules.iter().map(|rule| rule.from.year()).max();
        if let Some(newest) = newest.filter(|newest| date.year() > newest + RULES_REACH_YEARS) {
            self.notes.add_once(&Doubted::DateBeyondRules {
                at: at.into(),
                date: date.to_string(),
                newest: newest.to_string(),
            });
        }
    }
}

/// Whether a dwelling is built in the year of a quote, or in the one before.
pub(super) fn is_new(construction_year: Option<u32>, quote_date: Date) -> bool {
    let quoted = i64::from(quote_date.year());
    construction_year.is_some_and(|year| (quoted - 1..=quoted + 1).contains(&i64::from(year)))
}
