//! The money and days of a summary.

use super::section;
use crate::estimate::PaymentRow;
use crate::estimate::bill::{BillAnswer, Line};
use crate::estimate::price::PriceAnswer;
use crate::estimate::programme::{ProgrammeAnswer, VisitRow};
use crate::render::table::{Column, amount, figure};

/// An id of the price book as words.
fn words(id: &str) -> String {
    id.replace('_', " ")
}

/// Materials, each with its cost to the firm and its price, and their sums.
pub(super) fn materials(bill: &BillAnswer) -> String {
    let columns = [
        ("material", Column::Text),
        ("quantity", Column::Figure),
        ("unit", Column::Word),
        ("cost", Column::Figure),
        ("net price", Column::Figure),
    ];
    let row = |line: &Line| {
        let quantity = line.quantity.to_string();
        vec![line.description.clone(), quantity, line.unit.clone(), amount(line.cost), amount(line.net)]
    };
    let mut rows: Vec<Vec<String>> = bill.lines.iter().map(row).collect();
    let totals = &bill.totals;
    let (cost, net) = (amount(totals.materials_cost), amount(totals.materials_net));
    rows.push(vec!["materials".to_owned(), String::new(), String::new(), cost, net]);
    section("Materials", &columns, rows)
}

/// Labour by task, and its sums.
pub(super) fn labour(bill: &BillAnswer) -> String {
    let columns = [
        ("task", Column::Word),
        ("visit", Column::Word),
        ("hours", Column::Figure),
        ("cost", Column::Figure),
        ("net price", Column::Figure),
    ];
    let rows = bill.labour.iter().map(|task| {
        let hours = figure(task.labour_h, 2);
        vec![words(&task.task), words(&task.visit), hours, amount(task.cost), amount(task.net)]
    });
    let mut rows: Vec<Vec<String>> = rows.collect();
    let totals = &bill.totals;
    let hours = figure(totals.labour_h, 2);
    let (cost, net) = (amount(totals.labour_cost), amount(totals.labour_net));
    rows.push(vec!["labour".to_owned(), String::new(), hours, cost, net]);
    section("Labour", &columns, rows)
}

/// Visits in their order.
pub(super) fn programme(programme: &ProgrammeAnswer) -> String {
    let is_lived_in = programme.without_heating_days.is_some();
    let mut columns = vec![
        ("visit", Column::Word),
        ("hours", Column::Figure),
        ("people", Column::Figure),
        ("days", Column::Figure),
        ("earliest", Column::Word),
        ("to", Column::Word),
    ];
    if is_lived_in {
        columns.extend([("days without heat", Column::Figure), ("hot water", Column::Figure)]);
    }
    columns.push(("needs", Column::Text));
    let row = |visit: &VisitRow| {
        let VisitRow { labour_h, people, days, earliest_start, earliest_finish, .. } = visit;
        let (people, days) = (people.to_string(), days.to_string());
        let (start, finish) = (earliest_start.to_string(), earliest_finish.to_string());
        let mut row = vec![words(&visit.visit), figure(*labour_h, 2), people, days, start, finish];
        let without = [visit.without_heating_days, visit.without_hot_water_days];
        row.extend(without.into_iter().filter(|_| is_lived_in).map(|days| days.unwrap_or(0).to_string()));
        row.push(visit.needs.clone());
        row
    };
    section("Programme", &columns, programme.visits.iter().map(row).collect())
}

/// Payments with their tax and what the grant leaves of each, and last what is left to pay.
pub(super) fn price(price: &PriceAnswer) -> String {
    let columns = [
        ("", Column::Word),
        ("tax point", Column::Word),
        ("net", Column::Figure),
        ("VAT", Column::Figure),
        ("gross", Column::Figure),
        ("grant", Column::Figure),
        ("to pay", Column::Figure),
    ];
    let row = |payment: &PaymentRow| {
        let PaymentRow { name, tax_point, net, tax, gross, grant, payable, .. } = payment;
        let amounts = [*net, *tax, *gross, -*grant, *payable].map(amount);
        [name.clone(), tax_point.to_string()].into_iter().chain(amounts).collect()
    };
    let mut rows: Vec<Vec<String>> = price.payments.iter().map(row).collect();
    let last = |what: &str, amounts: [String; 5]| [what.to_owned(), String::new()].into_iter().chain(amounts).collect();
    let nothing = String::new;
    let (net, tax, gross) = (amount(price.net), amount(price.tax), amount(price.gross));
    rows.push(last("price", [net, tax, gross, nothing(), nothing()]));
    rows.push(last("grant", [nothing(), nothing(), nothing(), amount(-price.grant), nothing()]));
    let payable = if price.complete { "payable" } else { "payable, not complete" };
    rows.push(last(payable, [nothing(), nothing(), nothing(), nothing(), amount(price.payable)]));
    let valid = price.valid_until.map_or_else(String::new, |day| format!(", to be accepted until {day}"));
    section(&format!("Price in {}{valid}", price.currency), &columns, rows)
}
