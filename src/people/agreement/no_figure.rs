//! Why a figure can't be given.

/// A figure that the calls do not allow, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, thiserror::Error, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoFigure {
    /// There is nothing to count.
    #[error("there are no calls to count")]
    NoCalls,
    /// More were counted than there are.
    #[error("more are counted than there are")]
    NotAShare,
    /// No photo was called by both.
    #[error("no photo was called by both")]
    NoPairs,
    /// One photo shows no more than itself.
    #[error("only one photo was called by both; call more")]
    OneItem,
    /// Fewer than two readers.
    #[error("only one reader called; agreement takes two")]
    OneReader,
    /// Chance alone would give the same, so that agreement beyond chance has no meaning.
    #[error(
        "all calls are of one kind, so that chance would agree as well; put several patterns in the set"
    )]
    OneCategory,
    /// No photo has calls of two readers.
    #[error("no photo was called by two readers or more")]
    AllGaps,
    /// Not every photo was called by the same number of readers.
    #[error("photos were not called by the same number of readers")]
    UnequalReaders,
    /// Nobody called a photo twice.
    #[error("no photo was called twice")]
    NoRepeats,
    /// What was right is not known of any photo that was called.
    #[error("what was right is not known of any photo called")]
    NothingRight,
    /// None of the photos called shows the case that the figure is about.
    #[error("no photo called shows this case")]
    NoSuchCase,
    /// What was right is the reader's own reading.
    #[error("what was right is this reader's own reading here")]
    RestsOnItself,
    /// No disagreement was seen, so the spread of the figure can't be told from these calls.
    #[error("no spread to tell an interval from; take the interval of the share instead")]
    NoSpread,
    /// The figure does not exist in too many resamples.
    #[error("too few photos differ from the others for an interval")]
    Unstable,
    /// A category beyond the number of categories.
    #[error("a category is beyond the number of categories")]
    UnknownCategory,
}
