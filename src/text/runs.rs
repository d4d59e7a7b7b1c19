//! Lengths of words in bytes.

/// Number of ASCII letters and underscores at the beginning of `bytes`.
pub(crate) fn letters(bytes: &[u8]) -> usize {
    bytes.iter().take_while(|byte| byte.is_ascii_alphabetic() || **byte == b'_').count()
}

/// Number of ASCII letters and digits at the beginning of `bytes`.
pub(crate) fn alphanumerics(bytes: &[u8]) -> usize {
    bytes.iter().take_while(|byte| byte.is_ascii_alphanumeric()).count()
}
