//! The small convolutional networks behind the finder and the compound map.
