//! Tables of trade sizes: sealing rings and drills.
