//! Photos to send.

/// The sample's bytes.
pub(crate) fn photo(sample: &str) -> Vec<u8> {
    crate::support::samples::bytes(sample)
}

/// Too much taper: open at the base. Tip up, cut with 0.003 in (sample-images/README.md).
pub(crate) fn heron(jaw: u8) -> Vec<u8> {
    photo(&format!("heron-too-much-taper/jaw{jaw}.jpg"))
}

/// Another photo of the same jaw to the program: a comment more in the file (JPEG, ITU-T T.81, B.2.4.5).
pub(crate) fn another(photo: &[u8], number: u32) -> Vec<u8> {
    let text = number.to_be_bytes();
    let comment = [&[0xff, 0xfe, 0x00, 0x06][..], &text[..]].concat();
    [&photo[..2], &comment[..], &photo[2..]].concat()
}

/// As `seepline read --tip up --taper 0.003in` is told.
pub(crate) fn heron_settings() -> serde_json::Value {
    serde_json::json!({ "tip": "up", "taper": "0.003in" })
}
