//! The firm's side of the job, with every default filled.

use super::assumed::{Money as Assumed, NotInThePrice};
use super::doubted::{Doubted, OtherRates};
use super::grant::AskedGrant;
use super::plausible::is_new;
use crate::catalogue::provenance::Provenance;
use jiff::Span;
use jiff::civil::{Date, Weekday};

use super::{Construction, FloorSystem, Gathering, HeatedBy, HeatedFloor, Room};
use crate::catalogue::binder::Binder;
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::labour::Per;
use crate::catalogue::rules::{self, Nation, RuleKind};
use crate::catalogue::{Confidence, Defaults};
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::commercial::Commercial as Written;
use crate::job::dwelling::ExistingHeating;
use crate::job::heating::Fluid;
use crate::list::List;
use crate::methods::math::round_significant;

/// Supply that the heating itself belongs to.
pub const HEATING: &str = "heating";
/// Supply that boards, strip and screed under a heated floor belong to.
pub const FLOOR_BUILD: &str = "floor_build";

/// Supply that the insulation under a heated floor belongs to, where a job names it: otherwise to the floor's build.
pub const FLOOR_INSULATION: &str = "floor_insulation";

/// Rule of tax that dwellings fall under which are converted or were long empty.
const REDUCED_RATE: &str = "reduced_rate";
/// Rule of tax that new dwellings fall under.
pub(super) const NEW_DWELLING: &str = "new_dwelling";

/// The firm's side of the job.
#[derive(Debug, Clone, PartialEq)]
pub struct Commercial {
    /// Nation whose rules hold.
    pub nation: Nation,
    /// Date of the quote.
    pub quote_date: Date,
    /// Last day on which the quote can be accepted.
    pub valid_until: Date,
    /// People who come.
    pub people: u32,
    /// Working hours of a day (h).
    pub hours_per_day_h: f64,
    /// Mark-up on materials.
    pub materials_margin: f64,
    /// Mark-up on labour.
    pub labour_margin: f64,
    /// Rule of tax of each supply, by the supply's id.
    pub supplies: Vec<(String, String)>,
    /// Share and tax point of each payment, and its name; one on the day of the quote where the job tells of none.
    pub payments: Vec<Payment>,
    /// Whether the job tells of payments.
    pub has_payments: bool,
    /// The grant that is asked for.
    pub grant: Option<AskedGrant>,
    /// First day of work.
    pub programme_start: Date,
    /// Days from the last screed to the first heating, as the slowest screed needs; nothing where none is laid.
    pub screed_days: Option<i64>,
    /// Days after the laying on which a screed is not walked on.
    pub screed_rest_days: i64,
    /// What heats the house of those who live there while the work is done; nothing where nobody does.
    pub lived_in: Option<HeatedBy>,
}

/// A payment.
#[derive(Debug, Clone, PartialEq)]
pub struct Payment {
    /// What it is for.
    pub name: String,
    /// Share of the price (0–1).
    pub share: f64,
    /// Date that its rate of tax is taken from.
    pub tax_point: Date,
}

/// Where a price book of the job's own stands.
const BOOK: &str = "/commercial/price_book";

/// A fault that rests on the dated rules of the nation.
fn rests_on_rules(fault: Fault) -> Fault {
    fault.rests_on("/site/nation").rests_on(format!("{BOOK}/rules"))
}

impl Gathering<'_> {
    /// The firm's side; nothing where the job has no date to quote at, which a stage that needs money then tells.
    pub(super) fn commercial(&mut self, rooms: &List<Room>, constructions: &List<Construction>) -> Option<Commercial> {
        let default = Written::default();
        let written = self.job.commercial.as_ref().unwrap_or(&default);
        let supplies = self.supplies(written);
        let grant = self.grant(written);
        let quote_date = written.quote_date?;
        self.other_rates(written, quote_date);
        let payments = self.payments(written, quote_date);
        self.rates(written, &supplies, &payments);
        let programme_start = written.programme_start.unwrap_or_else(|| {
            let start = next_monday(quote_date);
            self.notes.add(&Assumed::ProgrammeStart { programme_start: start.to_string() });
            start
        });
        let valid_until = written.valid_until.unwrap_or_else(|| {
            let days = self.catalogue.defaults.quote_valid_days.value;
            let valid_until = quote_date.saturating_add(Span::new().days(i64::from(days)));
            self.notes.add(&Assumed::ValidUntil { valid_until: valid_until.to_string(), days });
            valid_until
        });
        self.doubt_dates(written, quote_date, programme_start);
        let defaults = &self.catalogue.defaults;
        let (people, hours_per_day_h) = written.crew.as_ref().map_or_else(
            || {
                let (people, hours_per_day_h) = (defaults.crew_people.value, defaults.crew_hours_per_day_h.value);
                self.notes.add(&Assumed::Crew { people, hours_per_day_h });
                (people, hours_per_day_h)
            },
            |crew| (crew.people, crew.hours_per_day_h),
        );
        let (materials_margin, labour_margin) = written.margins.as_ref().map_or_else(
            || {
                let (materials, labour) = (defaults.materials_margin.value, defaults.labour_margin.value);
                self.notes.add(&Assumed::Margins { materials, labour });
                (materials, labour)
            },
            |margins| (margins.materials, margins.labour),
        );
        let screed_days = self.programme(rooms);
        let lived_in = self.lived_in();
        self.boards(rooms, constructions);
        let nation = self.job.site.nation;
        Some(Commercial {
            nation,
            quote_date,
            valid_until,
            people,
            hours_per_day_h,
            materials_margin,
            labour_margin,
            supplies,
            payments,
            has_payments: !written.stage_payments.is_empty(),
            grant,
            programme_start,
            screed_days,
            screed_rest_days: i64::from(self.catalogue.defaults.screed_rest_days.value),
            lived_in,
        })
    }

    /// Boards are billed by thickness; where the job does not describe what lies under a heated floor, by guess. Tested
    /// boards insulate by themselves and are billed as they are.
    fn boards(&mut self, rooms: &List<Room>, constructions: &List<Construction>) {
        for (room, id) in rooms.iter().zip(self.job.rooms.keys()) {
            let largest = room.undersides.iter().max_by(|a, b| a.share.total_cmp(&b.share));
            let described =
                largest.is_some_and(|underside| constructions[underside.construction].insulation_m().is_some());
            let by_thickness = floors(room).any(|floor| !matches!(floor.system, FloorSystem::TestedBoards { .. }));
            if room.heated_floor_m2 > 0.0 && by_thickness && !described {
                self.notes.add(&Assumed::BoardThickness { room: id.clone() });
            }
        }
    }

    /// What the programme takes for granted, and the days that a screed must wait for its first heating.
    fn programme(&mut self, rooms: &List<Room>) -> Option<i64> {
        let pipework = self.job.pipework.as_ref();
        let lagged = pipework.is_some_and(|pipework| {
            let runs = pipework.runs.values().filter_map(|run| run.insulation.as_ref());
            pipework.insulation.is_some() || runs.count() > 0
        });
        let fluid = self.job.heating.as_ref().and_then(|heating| heating.fluid.as_ref());
        let valves = pipework.and_then(|pipework| pipework.freeze_protection.as_ref()?.valves) == Some(true);
        let guarded = valves || matches!(fluid, Some(Fluid::Glycol { .. }));
        let is_heated = !matches!(self.job.dwelling.existing_heating, Some(ExistingHeating::None {}));
        let mut lacking: Vec<NotInThePrice> = is_heated.then_some(NotInThePrice::TakingOut).into_iter().collect();
        lacking.extend([
            NotInThePrice::OtherTrades,
            NotInThePrice::BaseAndDrain,
            NotInThePrice::Fittings,
            NotInThePrice::FrostHours,
            NotInThePrice::Controls,
        ]);
        lacking.extend((!lagged).then_some(NotInThePrice::PipeInsulation));
        let to_cylinder = pipework.is_some_and(|pipework| pipework.hot_water_circuit.is_some());
        lacking.extend((!to_cylinder).then_some(NotInThePrice::ToCylinder));
        let to_unit = pipework.is_some_and(|pipework| pipework.primary.is_some());
        lacking.extend((!to_unit).then_some(NotInThePrice::ToOutdoorUnit));
        lacking.extend([NotInThePrice::ColdMain, NotInThePrice::Filter]);
        let (tubes_stay, radiators_stay) = self.keeps();
        let is_unflushed = (tubes_stay || radiators_stay) && !self.book.labour.counts(Per::KeptSystem);
        lacking.extend(is_unflushed.then_some(NotInThePrice::Flushing));
        lacking.extend(radiators_stay.then_some(NotInThePrice::KeptValves));
        lacking.extend((!guarded).then_some(NotInThePrice::FrostProtection));
        let stored_c = self.job.hot_water.as_ref().and_then(|water| water.storage_temperature_c);
        let defaults = &self.catalogue.defaults;
        let is_cool = stored_c.unwrap_or(defaults.hot_water_storage_c.value) < defaults.disinfection_c.value;
        lacking.extend(is_cool.then_some(NotInThePrice::Disinfection));
        self.notes.add(&Assumed::NotInTheBill { lacking });
        self.notes.add(&Assumed::Programme {});
        let binders = rooms.iter().flat_map(floors).filter_map(HeatedFloor::laid_binder);
        let defaults = &self.catalogue.defaults;
        let waits = binders.map(|binder| (binder, screed_days(binder, defaults)));
        let (binder, days) = waits.max_by_key(|(_, days)| days.value)?;
        self.notes.add(&Assumed::ScreedAge { days: days.value, binder, origin: days.provenance.clone() });
        Some(i64::from(days.value))
    }

    /// The rule of tax of every supply that the bill can hold.
    fn supplies(&mut self, written: &Written) -> Vec<(String, String)> {
        let mut supplies = Vec::new();
        for (id, supply) in &written.supplies {
            self.check_rule(&format!("/commercial/supplies/{id}/tax_rule"), &supply.tax_rule, RuleKind::Tax);
            supplies.push((id.clone(), supply.tax_rule.0.clone()));
        }
        let used = self.book.labour.tasks.values().map(|task| task.supply.as_str()).chain([HEATING, FLOOR_BUILD]);
        let mut known: Vec<&str> = used.clone().chain([FLOOR_INSULATION]).collect();
        known.sort_unstable();
        known.dedup();
        for (id, _) in written.supplies.iter().filter(|(id, _)| !known.contains(&id.as_str())) {
            let meant = did_you_mean(id, known.iter().copied());
            let detail = format!("nothing in the bill belongs to a supply {id}; there are {}{meant}", known.join(", "));
            let fault = Fault::new(format!("/commercial/supplies/{id}"), FaultCode::UnusedSupply, detail);
            self.faults.push(fault.rests_on(format!("{BOOK}/labour/tasks")));
        }
        let mut missing: Vec<String> =
            used.filter(|used| !supplies.iter().any(|(id, _)| id == used)).map(str::to_owned).collect();
        missing.sort_unstable();
        missing.dedup();
        let defaults = &self.catalogue.defaults;
        for id in missing {
            let rule = match id.as_str() {
                HEATING => Some(&defaults.heating_tax_rule.value),
                FLOOR_BUILD => Some(&defaults.floor_build_tax_rule.value),
                _ => None,
            };
            match rule {
                Some(rule) => {
                    self.notes.add(&Assumed::TaxRule { supply: id.clone(), rule: rule.clone() });
                    supplies.push((id, rule.clone()));
                }
                None => {
                    let meant = did_you_mean(&id, written.supplies.keys().map(String::as_str));
                    let detail = format!("labour tasks name the supply {id}, which the job does not describe{meant}");
                    let fault = Fault::new("/commercial", FaultCode::UnknownSupply, detail);
                    self.faults.push(fault.rests_on(format!("/commercial/supplies/{id}")));
                }
            }
        }
        supplies
    }

    /// Doubts the rates of a dwelling that looks new, or as if it were converted or long empty, where no supply is taxed so.
    fn other_rates(&mut self, written: &Written, quote_date: Date) {
        let rules = [NEW_DWELLING, REDUCED_RATE];
        if written.supplies.values().any(|supply| rules.contains(&&*supply.tax_rule)) {
            return;
        }
        let dwelling = &self.job.dwelling;
        let is_new = is_new(dwelling.construction_year, quote_date);
        let is_unheated = matches!(dwelling.existing_heating, Some(ExistingHeating::None {}));
        let why = if is_new { Some(OtherRates::New) } else { is_unheated.then_some(OtherRates::Unheated) };
        if let Some(why) = why {
            self.notes.add(&Doubted::OtherRatesMayHold { why });
        }
    }

    /// Whether there is such a rule for the nation, and it gives what is asked of it.
    pub(super) fn check_rule(&mut self, at: &str, key: &str, kind: RuleKind) {
        let nation = self.job.site.nation;
        let mut rows = self.book.rules.iter().filter(|rule| rule.key == key && rule.nation == nation).peekable();
        let fault = if rows.peek().is_none() {
            let others = self.book.rules.iter().filter(|rule| rule.nation == nation && rule.gives(kind));
            let mut others: Vec<&str> = others.map(|rule| rule.key.as_str()).collect();
            others.sort_unstable();
            others.dedup();
            let meant = did_you_mean(key, others.iter().copied());
            let others = if others.is_empty() { "none".to_owned() } else { others.join(", ") };
            let what = kind.words();
            Fault::new(
                at,
                FaultCode::UnknownRule,
                format!("no rule {key} gives {what} in this nation; those that do: {others}{meant}"),
            )
        } else if rows.all(|rule| rule.gives(kind)) {
            return;
        } else {
            Fault::new(at, FaultCode::WrongRule, format!("the rule {key} does not give {}", kind.words()))
        };
        self.faults.push(rests_on_rules(fault));
    }

    /// What a rule says on a day; told where it says nothing yet, and noted where it rests on memory.
    pub(super) fn rule_on(&mut self, key: &str, date: Date, at: &str) -> Option<f64> {
        let nation = self.job.site.nation;
        if !self.book.rules.iter().any(|rule| rule.key == key && rule.nation == nation) {
            // told already, or a default that an inline book lacks
            let of_this = format!("no rule {key} ");
            let known =
                self.faults.iter().any(|fault| fault.code == "unknown_rule" && fault.detail.starts_with(&of_this));
            if !known {
                let detail = format!("the price book has no rule {key} for this nation");
                self.faults.push(rests_on_rules(Fault::new(at, FaultCode::NoRule, detail)));
            }
            return None;
        }
        let Some(found) = rules::find(key, nation, date, &self.book.rules) else {
            let detail = format!("there is no rule {key} for this nation on {date}");
            self.faults.push(rests_on_rules(Fault::new(at, FaultCode::NoRule, detail)));
            return None;
        };
        if found.row.confidence == Confidence::FromMemory {
            let (rule, from) = (key.to_owned(), found.row.from.to_string());
            let origin = Provenance { source: found.row.source.clone(), confidence: found.row.confidence };
            let rule = if found.row.gives(RuleKind::Tax) {
                Assumed::TaxFromMemory { rule, tax_rate: found.value, from, origin }
            } else {
                Assumed::GrantFromMemory { rule, grant: found.value, from, origin }
            };
            self.notes.add_once(&rule);
        }
        Some(found.value)
    }

    /// Rates of every supply at every tax point; a supply that is taxed at two says so.
    fn rates(&mut self, written: &Written, supplies: &[(String, String)], payments: &[Payment]) {
        let mut told: Vec<(usize, &str)> = Vec::new();
        for (supply, key) in supplies {
            let mut rates: Vec<f64> = Vec::new();
            for (index, payment) in payments.iter().enumerate() {
                let at = if written.stage_payments.is_empty() {
                    "/commercial/quote_date".to_owned()
                } else {
                    format!("/commercial/stage_payments/{index}/tax_point")
                };
                if told.contains(&(index, key.as_str())) {
                    continue;
                }
                match self.rule_on(key, payment.tax_point, &at) {
                    Some(rate) => rates.push(rate),
                    None => told.push((index, key.as_str())),
                }
            }
            rates.sort_by(f64::total_cmp);
            rates.dedup();
            if let [least, .., most] = rates[..] {
                let (least_percent, most_percent) = (percent(least), percent(most));
                self.notes.add(&Doubted::SeveralTaxRates { supply: supply.clone(), least_percent, most_percent });
            }
        }
    }

    fn payments(&mut self, written: &Written, quote_date: Date) -> Vec<Payment> {
        if written.stage_payments.is_empty() {
            self.notes.add(&Assumed::TaxPoint { tax_point: quote_date.to_string() });
            return vec![Payment { name: "the whole price".to_owned(), share: 1.0, tax_point: quote_date }];
        }
        let payments = written.stage_payments.iter();
        payments
            .map(|payment| Payment { name: payment.name.clone(), share: payment.share, tax_point: payment.tax_point })
            .collect()
    }
}

impl Commercial {
    /// The supply that the insulation under a heated floor belongs to.
    #[must_use]
    pub fn insulation_supply(&self) -> &'static str {
        if self.supplies.iter().any(|(id, _)| id == FLOOR_INSULATION) { FLOOR_INSULATION } else { FLOOR_BUILD }
    }
}

/// The heated floors of a room.
fn floors(room: &Room) -> impl Iterator<Item = &HeatedFloor> {
    room.emitters.iter().filter_map(|emitter| emitter.floor())
}

/// Days from laying a screed to its first heating.
fn screed_days(binder: Binder, defaults: &Defaults) -> &DefaultRow<u32> {
    match binder {
        Binder::Cement => &defaults.cement_screed_days,
        Binder::CalciumSulphate => &defaults.calcium_sulphate_screed_days,
    }
}

/// A ratio as a percentage, without digits that are not there.
fn percent(rate: f64) -> f64 {
    round_significant(rate * 100.0, 6)
}

/// The Monday after a date.
fn next_monday(date: Date) -> Date {
    // the last days of the calendar have no Monday after them
    date.nth_weekday(1, Weekday::Monday).unwrap_or(date)
}
