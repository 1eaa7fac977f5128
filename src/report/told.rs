//! A first taper, and a set that is mounted again, in the parts that both are told in: text and pages write the same ones.

mod recut;
mod start;

/// One answer.
pub(crate) struct Told<'a> {
    pub(crate) headline: &'static str,
    /// What to cut per side and on the diameter, never one without the other.
    pub(crate) cut: Option<[Figure; 2]>,
    /// Name and value.
    pub(crate) numbers: Vec<(&'static str, String)>,
    /// How far the cut may lie off.
    pub(crate) range: Option<String>,
    pub(crate) why: &'a [String],
    pub(crate) not_known: Vec<String>,
    pub(crate) sum: Vec<String>,
    pub(crate) assumed: &'a [String],
    /// In order.
    pub(crate) what_to_do: &'a [String],
    pub(crate) warnings: &'a [String],
    pub(crate) cautions: &'a [String],
}

/// A number that is read from the machine.
pub(crate) struct Figure {
    pub(crate) label: &'static str,
    pub(crate) thou: String,
    /// What stands behind the number: its unit, and the same in other units.
    pub(crate) behind: String,
}
