//! Shown formulas evaluated from their own text.

use evalexpr::{ContextWithMutableFunctions as _, ContextWithMutableVariables as _, Function, HashMapContext};
use serde_json::Value;
use tundish::methods::math;

/// What a formula may call: the free functions of `methods::math`.
pub fn context() -> HashMapContext {
    let mut context = HashMapContext::new();
    let two = |f: fn(f64, f64) -> f64| {
        Function::new(move |arguments: &evalexpr::Value| {
            let tuple = arguments.as_fixed_len_tuple(2)?;
            Ok(evalexpr::Value::Float(f(tuple[0].as_number()?, tuple[1].as_number()?)))
        })
    };
    let one = |f: fn(f64) -> f64| {
        Function::new(move |argument: &evalexpr::Value| Ok(evalexpr::Value::Float(f(argument.as_number()?))))
    };
    let functions = [
        ("ln", one(math::ln)),
        ("log10", one(math::log10)),
        ("exp", one(math::exp)),
        ("sqrt", one(math::sqrt)),
        ("pow", two(math::pow)),
        ("min", two(math::min)),
        ("max", two(math::max)),
    ];
    for (name, function) in functions {
        context.set_function(name.to_owned(), function).unwrap();
    }
    context
}

/// A formula evaluated from its text.
pub fn evaluated(formula: &str, values: &[(&str, f64)], context: &mut HashMapContext) -> f64 {
    for (name, value) in values {
        context.set_value((*name).to_owned(), evalexpr::Value::Float(*value)).unwrap();
    }
    evalexpr::eval_number_with_context(formula, context).unwrap_or_else(|error| panic!("{formula}: {error}"))
}

/// How far the result of a formula may move because its values and its result are printed with seven digits.
fn printing_error(formula: &str, values: &[(&str, f64)], context: &mut HashMapContext) -> f64 {
    const HALF_A_DIGIT: f64 = 0.5e-6;
    let result = evaluated(formula, values, context);
    let moved = (0..values.len()).map(|i| {
        let mut moved = values.to_vec();
        moved[i].1 *= 1.0 + HALF_A_DIGIT;
        (evaluated(formula, &moved, context) - result).abs()
    });
    moved.sum::<f64>() + result.abs() * HALF_A_DIGIT
}

/// Whether a working that was answered gives its result; if not, what is wrong.
pub fn holds(working: &Value, context: &mut HashMapContext) -> Result<(), String> {
    let formula = working["formula"].as_str().unwrap();
    let values = working["values"].as_object().unwrap();
    let values: Vec<(&str, f64)> =
        values.iter().map(|(name, value)| (name.as_str(), value.as_f64().unwrap())).collect();
    let result = working["result"].as_f64().unwrap();
    let found = evaluated(formula, &values, context);
    let allowed = printing_error(formula, &values, context) * 1.01;
    if (found - result).abs() <= allowed { Ok(()) } else { Err(format!("{working}: {found}, allowed {allowed}")) }
}
