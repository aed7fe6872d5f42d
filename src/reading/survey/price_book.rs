//! The price book of a job: the shipped one, made ready once a process, or the job's own.

use std::sync::Arc;

use super::Gathering;
use crate::catalogue::PriceBook;
use crate::catalogue::offer::Offer;
use crate::intake::{Fault, FaultCode};
use crate::job::commercial::PriceBookChoice;

impl Gathering<'_> {
    /// The price book that the job is reckoned with, and what it offers; checked if the job brings its own.
    pub(super) fn price_book(&mut self) -> (Arc<PriceBook>, Arc<Offer>) {
        let built_in = (self.catalogue.price_book.clone(), self.catalogue.offer.clone());
        match self.job.commercial.as_ref().and_then(|commercial| commercial.price_book.as_ref()) {
            Some(choice @ PriceBookChoice::Inline { .. }) => match choice.inline() {
                Some(book) => {
                    let at = "/commercial/price_book";
                    self.faults.extend(book.problems().into_iter().map(|problem| {
                        let pointer = format!("{at}{}", problem.pointer);
                        // speeds tell how many outputs there are, and rows of rules are held against each other
                        let product = pointer.strip_suffix("/outputs").map(|product| format!("{product}/speeds"));
                        let rules = problem.pointer.starts_with("/rules").then(|| format!("{at}/rules"));
                        let rests_on = product.into_iter().chain(rules).chain([pointer.clone()]);
                        let fault = Fault::new(pointer.clone(), FaultCode::PriceBookInconsistent, problem.detail);
                        rests_on.fold(fault, Fault::rests_on)
                    }));
                    let offer = Offer::from_book(&book);
                    (Arc::new(book), Arc::new(offer))
                }
                None => built_in,
            },
            Some(PriceBookChoice::BuiltIn {}) => built_in,
            None => {
                self.notes.add(&super::assumed::Plant::PriceBook {});
                built_in
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::catalogue::Catalogue;
    use crate::job::Job;
    use crate::job::commercial::PriceBookChoice;
    use crate::notes::Notes;
    use crate::survey::resolve;

    /// Surveys by the thousand are made of one another: none may hold a book of its own.
    #[test]
    fn a_survey_and_its_clones_hold_one_book_and_one_offer() {
        let catalogue = Catalogue::try_built_in().unwrap();
        let mut job: Job = serde_json::from_str(include_str!("../../../fixtures/jobs/terrace.json")).unwrap();
        let shipped = resolve(&job, &catalogue, &mut Notes::default()).unwrap();
        assert!(Arc::ptr_eq(&shipped.book, &catalogue.price_book) && Arc::ptr_eq(&shipped.offer, &catalogue.offer));

        let mut own = serde_json::to_value(&*catalogue.price_book).unwrap();
        own["kind"] = "inline".into();
        let commercial = job.commercial.as_mut().unwrap();
        commercial.price_book = Some(serde_json::from_value::<PriceBookChoice>(own).unwrap());
        let inline = resolve(&job, &catalogue, &mut Notes::default()).unwrap();
        assert!(!Arc::ptr_eq(&inline.book, &catalogue.price_book) && inline.book == catalogue.price_book);
        assert!(Arc::ptr_eq(&inline.book, &inline.clone().book) && Arc::ptr_eq(&inline.offer, &inline.clone().offer));
        assert_eq!(inline.offer, catalogue.offer);
    }
}
