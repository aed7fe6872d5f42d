//! What a patch looks like, for the published document.

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

/// A JSON Merge Patch (RFC 7396): members of the job that change, null for those that go.
#[derive(Debug, Serialize, ToSchema)]
#[schema(value_type = Object)]
pub struct MergePatch(pub Value);

/// A JSON Patch (RFC 6902): operations in their order.
#[derive(Debug, Serialize, ToSchema)]
#[schema(max_items = 1000)]
pub struct JsonPatch(pub Vec<PatchOperation>);

/// One operation of a JSON Patch.
#[derive(Debug, Serialize, ToSchema)]
pub struct PatchOperation {
    /// What it does: `add` a member, or an item before the one at its place; `remove`; `replace`; `move`; `copy`; or `test`, which
    /// changes nothing, and refuses the whole patch where something else is there.
    #[schema(pattern = "^(add|remove|replace|move|copy|test)$")]
    pub op: String,
    /// JSON Pointer to the place that it is done at.
    #[schema(max_length = 2000)]
    pub path: String,
    /// JSON Pointer to the place that is moved or copied.
    #[schema(max_length = 2000)]
    pub from: Option<String>,
    /// What is added, put in the place of what is there, or expected there.
    pub value: Option<Value>,
}
