//! The slips of a hand: every figure of the demo folio that is stated twice is mistyped, and the
//! proof must notice.
//!
//! The operators are those of studies of number entry (Verhoeff 1969; Lesar 2002; both as read
//! second-hand). A mutant is *equivalent* where it is still true by the rounding rule for
//! statements: it rounds to the same value as the original does (NIST SP 811, B.7.2, as read
//! second-hand). All others must stop publishing, with a slip on the mutant, its partner or its
//! declaration.

