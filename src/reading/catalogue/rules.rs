//! Dated rules of tax and grants, asked by key, nation and date.
//!
//! A rule that changes is a new row, never an edited one, so that an old quote can be worked again.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::error::{CatalogueError, Problem};
use super::provenance::Confidence;
use super::rows::{self, data_file};

/// Nation whose rules apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Nation {
    /// England.
    England,
    /// Wales.
    Wales,
    /// Scotland.
    Scotland,
    /// Northern Ireland.
    NorthernIreland,
}

/// What a rule gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RuleKind {
    /// A rate of tax: a share from 0 to 1.
    Tax,
    /// A grant: an amount of money.
    Grant,
}

impl RuleKind {
    /// What it is, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Tax => "a rate of tax",
            Self::Grant => "a grant",
        }
    }
}

/// A heating that a grant may ask to be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Replaced {
    /// A boiler on mains gas.
    GasBoiler,
    /// A boiler on heating oil.
    OilBoiler,
    /// A boiler on liquefied petroleum gas.
    LpgBoiler,
    /// Electric heaters or an electric boiler.
    Electric,
    /// Stoves or a boiler on coal or wood.
    SolidFuel,
}

/// What belongs to a grant beside its amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RuleTerm {
    /// The amount is the most that is paid; the scheme's offer says how much.
    Ceiling,
    /// No work may begin before the scheme's written offer.
    OfferFirst,
    /// It is for homes on the gas grid; those off it have rules of their own.
    OnGasGrid,
    /// There is such a grant, and what it pays is not known: its value is 0.
    AmountNotKnown,
}

/// What a rule says between two days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// What the rule is about.
    #[schema(pattern = "^[a-z0-9][a-z0-9_-]{0,63}$")]
    pub key: String,
    /// Nation that it holds in.
    pub nation: Nation,
    /// First day that it holds.
    #[schema(value_type = String, format = Date)]
    pub from: Date,
    /// Last day that it holds; absent where no end is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub until: Option<Date>,
    /// What it gives; told by its values when left out: a tax is a share, a grant an amount.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<RuleKind>,
    /// What it says: a share from 0 to 1 for a tax, an amount of money for a grant.
    #[schema(minimum = 0, maximum = 1_000_000)]
    pub value: f64,
    /// Output of the largest heat source that a grant is paid for (kW); no limit when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(exclusive_minimum = 0.0, maximum = 10_000.0)]
    pub heat_source_max_kw: Option<f64>,
    /// Heatings of which a grant asks one to be replaced; it asks for none when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty", deserialize_with = "rows::several")]
    #[schema(max_items = 5)]
    pub replaces: Vec<Replaced>,
    /// What belongs to a grant beside its amount; nothing when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty", deserialize_with = "rows::several")]
    #[schema(max_items = 4)]
    pub terms: Vec<RuleTerm>,
    /// Last day that a grant is told to have and that its scheme does not confirm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = Date)]
    pub end_told: Option<Date>,
    /// Document or scheme that the row comes from.
    #[schema(min_length = 1, max_length = 200)]
    pub source: String,
    /// How far it is to be trusted.
    pub confidence: Confidence,
}

impl Rule {
    /// Whether the rule can give what is asked of it: no rate of tax is above 1, and no grant is a part of a pound.
    #[must_use]
    pub fn gives(&self, kind: RuleKind) -> bool {
        let value = match kind {
            RuleKind::Tax => self.value <= 1.0,
            RuleKind::Grant => self.value == 0.0 || self.value >= 1.0,
        };
        value && self.kind.is_none_or(|own| own == kind)
    }
}

/// A rule that was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found<'a> {
    /// What it says.
    pub value: f64,
    /// The row that says so.
    pub row: &'a Rule,
    /// Whether the date lies after the last day of that row: then the latest row before the date was used,
    /// and whoever asked must warn.
    pub beyond: bool,
}

/// What a rule says in a nation on a day: the row that began last, on or before the day. `None` if there is
/// no such row: no rule of this key, none for this nation, or none that early.
///
/// # Examples
/// ```
/// use jiff::civil::date;
/// use tundish_reading::catalogue::rules::{Nation, find};
/// let book = tundish_reading::catalogue::price_book::try_built_in().unwrap();
/// let rules = &book.rules;
/// let last_day = find("energy_saving_materials", Nation::England, date(2027, 3, 31), rules).unwrap();
/// let next_day = find("energy_saving_materials", Nation::England, date(2027, 4, 1), rules).unwrap();
/// assert_eq!((last_day.value, next_day.value), (0.0, 0.05));
/// ```
#[must_use]
pub fn find<'a>(key: &str, nation: Nation, date: Date, rows: &'a [Rule]) -> Option<Found<'a>> {
    let begun = rows.iter().filter(|row| row.key == key && row.nation == nation && row.from <= date);
    let row = begun.max_by_key(|row| row.from)?;
    Some(Found { value: row.value, row, beyond: row.until.is_some_and(|until| until < date) })
}

/// What is wrong with a table of rules: a last day before its first, and gaps and overlaps between the rows of
/// one key and nation. Pointers start at the table.
#[must_use]
pub fn problems(rows: &[Rule]) -> Vec<Problem> {
    let mut order: Vec<_> = rows.iter().enumerate().collect();
    order.sort_by_key(|(_, row)| (&row.key, row.nation, row.from));
    let reversed = order.iter().filter(|(_, row)| row.until.is_some_and(|until| until < row.from));
    let reversed = reversed.map(|(at, _)| Problem::new(format!("/{at}/until"), "the last day is before the first"));
    let pairs = order.iter().zip(order.iter().skip(1));
    let pairs = pairs.filter(|((_, a), (_, b))| a.key == b.key && a.nation == b.nation);
    let breaks = pairs.filter_map(|((_, before), (at, after))| {
        let next_day = before.until.map(Date::tomorrow);
        let detail = match next_day {
            Some(Ok(next_day)) if next_day == after.from => return None,
            Some(Ok(next_day)) if next_day < after.from => {
                format!("nothing is said from {next_day} to the day before {}", after.from)
            }
            Some(_) | None => format!("the row that began on {} still holds on {}", before.from, after.from),
        };
        Some(Problem::new(format!("/{at}/from"), detail))
    });
    reversed.chain(breaks).collect()
}

/// The shipped rules.
pub(super) fn read() -> Result<Vec<Rule>, CatalogueError> {
    rows::typed(data_file!("rules.csv"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn rule(from: Date, until: Option<Date>, value: f64) -> Rule {
        let (key, source) = ("tax".to_owned(), "none".to_owned());
        Rule {
            key,
            nation: Nation::Wales,
            kind: None,
            from,
            until,
            value,
            heat_source_max_kw: None,
            replaces: Vec::new(),
            terms: Vec::new(),
            end_told: None,
            source,
            confidence: Confidence::Invented,
        }
    }

    fn pointers(rows: &[Rule]) -> Vec<String> {
        problems(rows).into_iter().map(|problem| problem.pointer).collect()
    }

    #[test]
    fn the_shipped_rules_have_no_gaps_and_no_overlaps() {
        let rules = read().unwrap();
        assert_eq!(problems(&rules), []);
        for nation in [Nation::England, Nation::Wales, Nation::Scotland, Nation::NorthernIreland] {
            for key in ["energy_saving_materials", "standard_rate", "reduced_rate", "new_dwelling"] {
                let found = find(key, nation, date(2030, 1, 1), &rules).unwrap();
                assert!((0.0..=0.2).contains(&found.value) && !found.beyond, "{key} {nation:?}");
            }
        }
    }

    #[test]
    fn the_shipped_tax_and_grant_change_on_their_days() {
        let rules = read().unwrap();
        let value = |key: &str, nation, date| find(key, nation, date, &rules).map(|found| found.value);
        // VAT Notice 708/6: zero in Great Britain from April 2022, in Northern Ireland from May 2023.
        let esm = "energy_saving_materials";
        assert_eq!(value(esm, Nation::Scotland, date(2022, 4, 1)), Some(0.0));
        assert_eq!(value(esm, Nation::NorthernIreland, date(2023, 4, 30)), Some(0.05));
        assert_eq!(value(esm, Nation::NorthernIreland, date(2023, 5, 1)), Some(0.0));
        // Boiler Upgrade Scheme: 5,000 at its opening, 7,500 from 23 October 2023.
        let grant = "grant_air_to_water";
        assert_eq!(value(grant, Nation::England, date(2022, 5, 22)), None);
        assert_eq!(value(grant, Nation::England, date(2023, 10, 22)), Some(5000.0));
        assert_eq!(value(grant, Nation::Wales, date(2023, 10, 23)), Some(7500.0));
        assert_eq!(value(grant, Nation::Wales, date(2026, 7, 21)), Some(7500.0));
        assert_eq!(value(grant, Nation::NorthernIreland, date(2026, 7, 21)), None);
        // The Scottish grant: announced on 2 December 2022, with immediate effect.
        assert_eq!(value(grant, Nation::Scotland, date(2022, 12, 1)), None);
        assert_eq!(value(grant, Nation::Scotland, date(2022, 12, 2)), Some(7500.0));
        // Each of the notice's off-gas categories has a rule of its own from 21 July 2026.
        for replaced in ["oil", "lpg", "coal", "electric", "hybrid", "other_fossil"] {
            let key = format!("grant_air_to_water_off_gas_{replaced}");
            assert_eq!(value(&key, Nation::Wales, date(2026, 7, 20)), None, "{key}");
            assert!(value(&key, Nation::Wales, date(2026, 7, 21)).is_some(), "{key}");
        }
    }

    #[test]
    fn a_day_beyond_the_last_row_takes_it_and_says_so() {
        let rows = [rule(date(2020, 1, 1), Some(date(2020, 12, 31)), 0.1), rule(date(2021, 1, 1), None, 0.2)];
        let found = find("tax", Nation::Wales, date(2050, 1, 1), &rows).unwrap();
        assert_eq!((found.value, found.beyond), (0.2, false));
        let found = find("tax", Nation::Wales, date(2021, 1, 1), &rows[..1]).unwrap();
        assert_eq!((found.value, found.beyond, found.row), (0.1, true, &rows[0]));
        assert_eq!(find("tax", Nation::Wales, date(2019, 12, 31), &rows), None);
        assert_eq!(find("tax", Nation::England, date(2020, 6, 1), &rows), None);
    }

    #[test]
    fn gaps_overlaps_and_reversed_rows_are_found_where_they_are() {
        let end = Some(date(2020, 12, 31));
        let first = rule(date(2020, 1, 1), end, 0.1);
        assert!(pointers(&[rule(date(2021, 1, 1), None, 0.2), first.clone()]).is_empty());
        assert_eq!(pointers(&[rule(date(2021, 1, 2), None, 0.2), first.clone()]), ["/0/from"]);
        assert_eq!(pointers(&[first.clone(), rule(date(2020, 12, 31), None, 0.2)]), ["/1/from"]);
        assert_eq!(pointers(&[rule(date(2020, 1, 1), None, 0.1), rule(date(2021, 1, 1), None, 0.2)]), ["/1/from"]);
        assert_eq!(pointers(&[rule(date(2021, 1, 1), end, 0.1)]), ["/0/until"]);
        let elsewhere = Rule { nation: Nation::England, ..first.clone() };
        assert!(pointers(&[first, elsewhere]).is_empty());
    }

    #[test]
    fn a_grant_is_no_rate_of_tax_and_a_rate_no_grant() {
        let rules = read().unwrap();
        for rule in &rules {
            let is_grant = rule.key.starts_with("grant");
            assert_eq!((rule.gives(RuleKind::Grant), rule.gives(RuleKind::Tax)), (is_grant, !is_grant), "{rule:?}");
            let untold = Rule { kind: None, ..rule.clone() };
            assert!(untold.value == 0.0 || untold.gives(RuleKind::Tax) != is_grant, "{rule:?}");
        }
    }

    #[test]
    fn days_are_written_as_iso_8601_and_no_end_is_left_out() {
        let json = serde_json::to_value(rule(date(2022, 4, 1), None, 0.0)).unwrap();
        assert_eq!(json["from"], "2022-04-01");
        assert!(json.get("until").is_none());
        assert_eq!(serde_json::from_value::<Rule>(json).unwrap().until, None);
    }
}
