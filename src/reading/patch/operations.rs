//! JSON Patch (RFC 6902).

use serde_json::Value;

use super::pointer::{names, place};
use super::{PatchError, is_same};

/// Operations that a patch may have.
const MOST: usize = 1_000;
/// What `copy` may add to a document in all: names, values and characters.
const MOST_COPIED: usize = 4_000_000;

/// One operation of a patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    does: Does,
    path: Vec<String>,
}

#[derive(Debug, Clone, PartialEq)]
enum Does {
    Add(Value),
    Remove,
    Replace(Value),
    Move(Vec<String>),
    Copy(Vec<String>),
    Test(Value),
}

/// Reads the operations of a patch; members that an operation does not know are let through (section 4).
///
/// # Errors
/// [`PatchError`] if it is not a list of operations.
///
/// # Source
/// RFC 6902, sections 3 and 4.
pub fn operations(patch: &Value) -> Result<Vec<Operation>, PatchError> {
    let Value::Array(items) = patch else {
        return Err(PatchError::new("", "a JSON Patch is a list of operations"));
    };
    if items.len() > MOST {
        return Err(PatchError::new("", format!("a patch has {MOST} operations at most")));
    }
    items.iter().enumerate().map(|(at, item)| operation(&format!("/{at}"), item)).collect()
}

fn operation(at: &str, item: &Value) -> Result<Operation, PatchError> {
    let pointer = |name: &str| {
        let written = item.get(name).and_then(Value::as_str);
        let lacks = || PatchError::new(at, format!("the operation needs {name}, a JSON Pointer"));
        let wrong = || PatchError::new(format!("{at}/{name}"), "this is no JSON Pointer");
        names(written.ok_or_else(lacks)?).ok_or_else(wrong)
    };
    let value = || item.get("value").cloned().ok_or_else(|| PatchError::new(at, "the operation needs a value"));
    let does = match item.get("op").and_then(Value::as_str) {
        Some("add") => Does::Add(value()?),
        Some("remove") => Does::Remove,
        Some("replace") => Does::Replace(value()?),
        Some("move") => Does::Move(pointer("from")?),
        Some("copy") => Does::Copy(pointer("from")?),
        Some("test") => Does::Test(value()?),
        Some(_) => {
            return Err(PatchError::new(
                format!("{at}/op"),
                "an operation is add, remove, replace, move, copy or test",
            ));
        }
        None => return Err(PatchError::new(at, "an operation has op: add, remove, replace, move, copy or test")),
    };
    Ok(Operation { does, path: pointer("path")? })
}

/// Applies operations in their order, all of them or none.
///
/// # Errors
/// [`PatchError`] that points at the operation which cannot be applied; the document is then as it was.
///
/// # Source
/// RFC 6902, sections 4 and 5.
///
/// # Examples
/// ```
/// use serde_json::json;
/// use tundish_reading::patch::{operate, operations};
/// let mut job = json!({"rooms": {"hall": {"height_m": 2.4}}});
/// let patch = json!([{"op": "test", "path": "/rooms/hall/height_m", "value": 2.4},
///                    {"op": "replace", "path": "/rooms/hall/height_m", "value": 2.6}]);
/// operate(&mut job, &operations(&patch)?)?;
/// assert_eq!(job["rooms"]["hall"]["height_m"], 2.6);
/// # Ok::<(), tundish_reading::patch::PatchError>(())
/// ```
pub fn operate(document: &mut Value, operations: &[Operation]) -> Result<(), PatchError> {
    let (mut changed, mut copied) = (document.clone(), 0);
    for (at, operation) in operations.iter().enumerate() {
        apply(&mut changed, operation, &mut copied).map_err(|why| PatchError::new(format!("/{at}"), why))?;
    }
    *document = changed;
    Ok(())
}

const NOTHING_THERE: &str = "there is nothing at that place";

fn apply(document: &mut Value, operation: &Operation, copied: &mut usize) -> Result<(), String> {
    let Operation { does, path } = operation;
    match does {
        Does::Add(value) => add(document, path, value.clone()),
        Does::Remove => remove(document, path).map(|_| ()),
        Does::Replace(value) => {
            *find_mut(document, path).ok_or(NOTHING_THERE)? = value.clone();
            Ok(())
        }
        Does::Move(from) if path.len() > from.len() && path.starts_with(from) => {
            Err("nothing can be moved into itself".to_owned())
        }
        Does::Move(from) => {
            let value = remove(document, from)?;
            add(document, path, value)
        }
        Does::Copy(from) => {
            let value = find_mut(document, from).ok_or(NOTHING_THERE)?.clone();
            *copied += size(&value);
            if *copied > MOST_COPIED {
                return Err("the patch copies too much".to_owned());
            }
            add(document, path, value)
        }
        Does::Test(value) if find_mut(document, path).is_some_and(|found| is_same(found, value)) => Ok(()),
        Does::Test(_) => Err("what stands there is not what the test expects".to_owned()),
    }
}

/// Names, values and characters of a value.
fn size(value: &Value) -> usize {
    match value {
        Value::Null | Value::Bool(_) | Value::Number(_) => 1,
        Value::String(text) => 1 + text.len(),
        Value::Array(items) => 1 + items.iter().map(size).sum::<usize>(),
        Value::Object(members) => 1 + members.iter().map(|(name, value)| name.len() + size(value)).sum::<usize>(),
    }
}

fn find_mut<'v>(document: &'v mut Value, path: &[String]) -> Option<&'v mut Value> {
    path.iter().try_fold(document, |value, name| match value {
        Value::Object(members) => members.get_mut(name),
        Value::Array(items) => items.get_mut(place(name)?),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => None,
    })
}

/// Section 4.1: a member is put or replaced, an item is put before the one at its place, `-` stands behind the last.
fn add(document: &mut Value, path: &[String], value: Value) -> Result<(), String> {
    let Some((name, parent)) = path.split_last() else {
        *document = value;
        return Ok(());
    };
    match find_mut(document, parent) {
        Some(Value::Object(members)) => _ = members.insert(name.clone(), value),
        Some(Value::Array(items)) => {
            let place = if name == "-" { Some(items.len()) } else { place(name) };
            let place = place.filter(|place| *place <= items.len()).ok_or(NOTHING_THERE)?;
            items.insert(place, value);
        }
        Some(Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_)) | None => {
            return Err("what it is to be put into is not there".to_owned());
        }
    }
    Ok(())
}

fn remove(document: &mut Value, path: &[String]) -> Result<Value, String> {
    let (name, parent) = path.split_last().ok_or("the whole document cannot be taken away")?;
    let removed = match find_mut(document, parent) {
        Some(Value::Object(members)) => members.shift_remove(name),
        Some(Value::Array(items)) => place(name).filter(|place| *place < items.len()).map(|place| items.remove(place)),
        Some(Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_)) | None => None,
    };
    removed.ok_or_else(|| NOTHING_THERE.to_owned())
}
