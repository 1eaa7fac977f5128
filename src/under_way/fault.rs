//! What can go wrong with what was asked of a check under way, on the phone as at the server.

/// Why a request was not done. Every message says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum Fault {
    #[error("this phone is not paired: scan the code that the terminal shows where seepline runs")]
    NotPaired,
    #[error(
        "the code is not the one of this archive, or no longer: scan the code that the terminal shows now"
    )]
    WrongCode,
    #[error(
        "this address is not one that seepline listens on; open the one that its terminal shows"
    )]
    WrongHost,
    #[error(
        "the request came from another page and was refused; open the page itself and do it there"
    )]
    OtherSite,
    #[error("there is nothing at this address; go to the first page")]
    NotHere,
    #[error(
        "this check is no longer here: it was thrown away, or left for some days; begin it again"
    )]
    NoSuchCheck,
    #[error("this photo is not in the check; take it again")]
    NoSuchPhoto,
    #[error("this address does not take that kind of request")]
    NotThatWay,
    #[error("too many requests from this phone; wait a few seconds and do it again")]
    TooOften,
    #[error("busy: other photos are being read; wait a few seconds and send it again")]
    Busy,
    #[error("the photo is larger than {} MB; send it as the camera wrote it", .0 >> 20)]
    TooLarge(u64),
    #[error(
        "the upload came too slowly and was cut off, nothing was changed; send it again nearer to the network"
    )]
    TooSlow,
    #[error("the upload broke off, nothing was changed; send it again")]
    BrokenOff,
    #[error("no photo came; choose one and send it again")]
    NoPhoto,
    #[error("{0}")]
    Unfit(String),
    #[error("{0}")]
    Conflict(String),
    #[error(
        "the disk of the archive is full: free some space and do it again; what was kept before is there"
    )]
    DiskFull,
    #[error("the archive cannot be used now; the terminal where seepline runs says why")]
    Archive,
    #[error(
        "something went wrong in the program; do it again, and if it stays so, use the command line"
    )]
    Defect,
}
