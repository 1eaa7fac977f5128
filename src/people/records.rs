//! Calls as they are filed, and as the statistics take them.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::people::opinion::{Call, CalledChange, Person, Truth};
use crate::reading::pattern::Pattern;
use crate::taper::learning::Interval;
use crate::taper::records::Id;

/// On what occasion a call was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CallKind {
    /// At a check, before its reading was shown; one per person and check.
    Check,
    /// A drill; the same photo comes again and again.
    Practice,
    /// A study: a set of photos presented blind to several people.
    Study,
    /// A lead's word on what was right. The latest one stands.
    Ruling,
    /// A feeler at the open end under full clamp, as the call that it asks for. The latest one stands.
    Measured,
}

/// What was called.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// A check of the archive.
    Check(Id),
    /// A photo that the archive need not have, by its SHA-256; of several photos of one check the first.
    Photo(String),
}

/// What the program reads in an item.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// The pattern.
    pub pattern: Pattern,
    /// Signed, per side; zero to leave the taper, `None` where no change is to be made now.
    pub change: Option<Interval>,
}

/// What the caller was told after the call.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// What was right, as it was known then.
    pub truth: Truth,
    /// What the program read, where it did.
    pub program: Option<Answer>,
}

/// A call with all that is kept of it. Pattern, change, person and time are never changed; erasing a person
/// puts a number in the place of the initials.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FiledCall {
    /// Random, since one that followed from the person could be traced back.
    pub id: Id,
    /// On what occasion.
    pub kind: CallKind,
    /// What was called.
    pub item: Item,
    /// One run of practice, or one study; of a check the prove-out under which a lead called it.
    pub session: Option<Id>,
    /// What was said.
    #[serde(flatten)]
    pub call: Call,
    /// When what is right was shown to the caller; `None` where it was not.
    pub revealed: Option<DateTime>,
    /// What was shown then, in practice and studies; at a check it is the check's own record.
    pub told: Option<Told>,
    /// See [`crate::JawSet::changed`].
    pub changed: DateTime,
}

/// A call as the statistics take it; rulings are not among them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CallRow {
    /// Who; an erased person's calls keep one number.
    pub person: Person,
    /// What was called. The same item called twice by one person is a repetition.
    pub item: Item,
    /// As called.
    pub pattern: Pattern,
    /// As called.
    pub change: CalledChange,
    /// When.
    pub at: DateTime,
    /// On what occasion.
    pub kind: CallKind,
    /// One run of practice, or one study.
    pub session: Option<Id>,
    /// What was right, and what that rests on; `None` where it is not known.
    pub truth: Option<Truth>,
    /// What the program reads in the item.
    pub program: Option<Answer>,
    /// Whether it has an answer that is kept back until it is proven in this shop.
    pub kept_back: bool,
}

/// What a shop keeps about somebody who calls.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonRules {
    /// Who.
    pub person: Person,
    /// Must call before a reading is shown.
    pub call_first: bool,
    /// May rule what was right.
    pub lead: bool,
    /// See [`crate::JawSet::changed`].
    pub changed: DateTime,
}

/// Who may see other people's records; everybody sees their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "program", derive(clap::ValueEnum))]
#[serde(rename_all = "kebab-case")]
pub enum Sight {
    /// Everybody.
    Everyone,
    /// Leads.
    #[default]
    Leads,
    /// Nobody.
    Nobody,
}

impl Sight {
    /// Whether `asks`, who is a lead or not, may see the record of `whose`.
    pub fn allows(self, asks: &Person, is_lead: bool, whose: &Person) -> bool {
        asks == whose
            || match self {
                Self::Everyone => true,
                Self::Leads => is_lead,
                Self::Nobody => false,
            }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everybody_sees_their_own_record() {
        let [ab, cd] = ["AB", "CD"].map(|t| Person::parse(t).unwrap());
        for sight in [Sight::Everyone, Sight::Leads, Sight::Nobody] {
            assert!(sight.allows(&ab, false, &ab));
            assert_eq!(sight.allows(&ab, false, &cd), sight == Sight::Everyone);
            assert_eq!(sight.allows(&ab, true, &cd), sight != Sight::Nobody);
        }
    }
}
