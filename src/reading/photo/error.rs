//! Why a photo cannot be read, and what to do about it.

/// Why bytes are not a photo that can be read.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// Nothing in the file.
    #[error("the file is empty; copy the photo again")]
    Empty,
    /// More bytes than a photo has.
    #[error(
        "the file has {megabytes} MB, more than the {limit_megabytes} MB allowed; send the phone's own JPEG or HEIC photo"
    )]
    TooManyBytes {
        /// The file's size in megabytes of 2²⁰ bytes, rounded up.
        megabytes: u64,
        /// The largest size allowed.
        limit_megabytes: u64,
    },
    /// The content is no picture that is known here, whatever the file's name says.
    #[error("the file's content is {what}, not a photo; give a JPEG, PNG, WebP or HEIC photo")]
    NotAPhoto {
        /// What the content looks like, with its article.
        what: &'static str,
    },
    /// HEIC, in a build without it.
    #[error(
        "this is a HEIC photo, and this build leaves HEIC out; build with `--features heic`, or save the photo as JPEG (on the phone: camera settings, most compatible format)"
    )]
    HeicLeftOut,
    /// More pixels than any phone takes: a decompression bomb, or a panorama.
    #[error(
        "the picture claims {width} x {height} px, more than the {limit_megapixels} megapixels allowed for its format; take the photo at the camera's ordinary setting, and send it as an ordinary JPEG"
    )]
    TooManyPixels {
        /// Claimed width in pixels.
        width: u32,
        /// Claimed height in pixels.
        height: u32,
        /// The most pixels allowed, in millions.
        limit_megapixels: u64,
    },
    /// Too few pixels across to show a face.
    #[error(
        "the picture has only {width} x {height} px, too small or too narrow to read; send the original photo, not a thumbnail or a strip"
    )]
    TooSmall {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// The file ends before the picture does.
    #[error("the {format} file breaks off{}; copy the photo again from the phone", decoded(*.decoded_percent))]
    Truncated {
        /// The picture format.
        format: &'static str,
        /// How much of the picture could be decoded, where that is known.
        decoded_percent: Option<u8>,
    },
    /// The data make no picture.
    #[error(
        "the {format} file is damaged: {reason}; copy the photo again, or save it as a new JPEG"
    )]
    Damaged {
        /// The picture format.
        format: &'static str,
        /// What the decoder found.
        reason: String,
    },
    /// A sound file, but in a variant that is not decoded.
    #[error("this kind of {format} is not supported: {reason}; save the photo as an ordinary JPEG")]
    Unsupported {
        /// The picture format.
        format: &'static str,
        /// The variant.
        reason: String,
    },
}

fn decoded(percent: Option<u8>) -> String {
    percent.map_or(String::new(), |p| {
        format!(" or is damaged after {p} % of the picture")
    })
}
