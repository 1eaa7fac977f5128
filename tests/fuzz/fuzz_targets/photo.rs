//! Any bytes are a photo or a refusal. A decoder's panic that the photo boundary catches is no fault
//! here, so the hook that would abort on it is taken away; one that escapes still ends the run.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(
    init: seepline::fuzzing::only_others_may_panic(),
    |bytes: &[u8]| {
        if let Ok(photo) = seepline::read_photo(bytes) {
            let (width, height) = photo.pixels.dimensions();
            assert!(width.min(height) >= 32 && width.max(height) <= 1600);
            assert!(photo.size_px[0] >= width && photo.size_px[1] >= height);
        }
    }
);
