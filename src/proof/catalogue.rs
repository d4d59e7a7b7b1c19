//! The catalogue of faults: what each one is, how it misleads, and when to let it pass.
