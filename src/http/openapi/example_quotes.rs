//! The life of the small job as a quote: what each operation of quotes asks and answers.

use jiff::Timestamp;
use serde_json::{Value, json};

use super::examples::{ANSWERED, JOB, named, put_value};
use crate::http::error::ApiError;
use crate::patch::{operate, operations};
use crate::proposal::{self, Prepared};
use crate::quotes::{PatchForm, Proof, Revision, changes, valid_until};
use crate::render::json as written;

/// An id as quotes have one.
const ID: &str = "019a44d2-5c00-7b3e-9d1f-3a8e5c7b2f60";
/// When all of it happens.
const DAY: &str = "2026-11-03T10:00:00Z";

/// What a patch of the job asks for.
const PATCH: &str = r#"[{"op": "add", "path": "/commercial/client", "value": {"name": "A client"}}]"#;

fn value(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_default()
}

/// A revision as it is answered; whichever program keeps it, the document names none by its commit.
fn told(number: u32, job: &str, revision: &Revision) -> Value {
    let mut quote = json!({"id": ID, "revision": number, "state": revision.state, "program": env!("CARGO_PKG_VERSION"),
        "created_at": DAY, "changed_at": DAY});
    let issued = revision.issued.as_ref().map(|issued| json!(issued));
    let moments = [("accepted_at", revision.accepted_at), ("declined_at", revision.declined_at)];
    let moments = moments.into_iter().filter_map(|(name, moment)| Some((name, json!(moment?))));
    for (name, member) in issued.map(|issued| ("issued", issued)).into_iter().chain(moments) {
        quote[name] = member;
    }
    if !revision.variations.is_empty() {
        quote["variations"] = json!(revision.variations);
    }
    quote["varied"] = revision.varied.as_ref().map_or(Value::Null, |varied| {
        json!({"job": value(varied.job.get()), "proposal": value(varied.proposal.get()), "program": env!("CARGO_PKG_VERSION")})
    });
    quote["job"] = value(job);
    quote["proposal"] = value(revision.proposal.get());
    if let Some(members) = quote.as_object_mut() {
        members.retain(|_, member| !member.is_null());
    }
    quote
}

/// The examples of every operation of quotes.
pub(super) fn add(document: &mut Value, job: &Prepared) -> Result<(), String> {
    let failed = |error: ApiError| error.to_string();
    let draft = draft(job).map_err(failed)?;
    let day: Timestamp = DAY.parse().map_err(|_| "no moment".to_owned())?;
    let until = valid_until(&draft).map_err(|error| error.to_string())?.ok_or("no last day")?;
    let issued = draft.clone().issue(day, until, false).map_err(|error| error.to_string())?;
    let accepted = issued.clone().accept(day);
    let declined = issued.clone().decline(day);
    let mut patched = value(JOB);
    let operations = operations(&value(PATCH)).map_err(|error| error.to_string())?;
    operate(&mut patched, &operations).map_err(|error| error.to_string())?;

    let quotes = [
        ("AnnexeQuote", told(1, JOB, &draft)),
        ("AnnexeReplaced", told(2, JOB, &draft)),
        ("AnnexePatched", told(2, &patched.to_string(), &draft)),
        ("AnnexeIssued", told(2, JOB, &issued)),
        ("AnnexeAccepted", told(3, JOB, &accepted)),
        ("AnnexeDeclined", told(3, JOB, &declined)),
    ];
    for (name, quote) in quotes {
        document["components"]["examples"][name] = json!({"summary": ANSWERED, "value": quote});
    }
    let kept = |name: &str| json!({"annexe": {"$ref": format!("#/components/examples/{name}")}});
    let asked = || named("annexe", "An annexe of one room", JOB);
    put_value(document, "create_quote", Some(asked()?), &kept("AnnexeQuote"))?;
    put_value(document, "read_quote", None, &kept("AnnexeQuote"))?;
    put_value(document, "read_quote_revision", None, &kept("AnnexeQuote"))?;
    put_value(document, "replace_quote", Some(asked()?), &kept("AnnexeReplaced"))?;
    put_value(document, "patch_quote", Some(named("client", "For whom it is", PATCH)?), &kept("AnnexePatched"))?;
    put_value(
        document,
        "issue_quote",
        Some(named("whole", "A proposal that is complete", "{}")?),
        &kept("AnnexeIssued"),
    )?;
    put_value(document, "accept_quote", None, &kept("AnnexeAccepted"))?;
    put_value(document, "decline_quote", None, &kept("AnnexeDeclined"))?;
    let with =
        Revision::draft(&patched.to_string(), draft.proposal.get().to_owned()).map_err(|error| error.to_string())?;
    let varied = accepted.vary(with, (PatchForm::JsonPatch, PATCH), day).map_err(|error| error.to_string())?;
    document["components"]["examples"]["AnnexeVaried"] = json!({"summary": ANSWERED, "value": told(4, JOB, &varied)});
    put_value(document, "vary_quote", Some(named("client", "For whom it is", PATCH)?), &kept("AnnexeVaried"))?;
    let moved = changes((JOB, draft.proposal.get()), (&patched.to_string(), draft.proposal.get()));
    let moved = written::to_string(&moved.map_err(|error| error.to_string())?).map_err(|error| error.to_string())?;
    let version = env!("CARGO_PKG_VERSION");
    let compared =
        json!({"from": 1, "to": 2, "from_program": version, "to_program": version, "changes": value(&moved)});
    put_value(document, "compare_quote_revisions", None, &named("client", ANSWERED, &compared.to_string())?)?;
    let frozen = issued.issued.as_ref().map(|issued| issued.digests.clone()).ok_or("not issued")?;
    let proof = Proof::of(&issued, &frozen, Some(issued.proposal.get())).map_err(|error| error.to_string())?;
    let mut proof = json!(proof);
    (proof["program"], proof["proved_by"]) = (version.into(), version.into());
    put_value(document, "prove_quote", None, &named("annexe", ANSWERED, &proof.to_string())?)?;
    let price = &value(draft.proposal.get())["price"];
    let row = json!({"id": ID, "revision": 1, "state": "draft", "title": value(JOB)["title"], "reference": value(JOB)["reference"],
        "created_at": DAY, "changed_at": DAY, "payable": price["payable"], "complete": price["complete"]});
    let row: Value = row
        .as_object()
        .into_iter()
        .flatten()
        .filter(|(_, value)| !value.is_null())
        .map(|(name, value)| (name.clone(), value.clone()))
        .collect::<serde_json::Map<_, _>>()
        .into();
    let page = named("page", ANSWERED, &json!({"quotes": [row]}).to_string())?;
    put_value(document, "list_quotes", None, &page)
}

fn draft(job: &Prepared) -> Result<Revision, ApiError> {
    let proposal = written::to_string(&proposal::proposal(job, false)?)?;
    Ok(Revision::draft(JOB.trim(), proposal)?)
}
