//! stub
use super::*;
/// o
#[derive(Debug, Clone, Default)]
pub struct ReadOptions { /// d
pub decimal_comma: bool, /// c
pub column_unit: Option<&'static Unit>, /// s
pub spoken: bool }
/// f
#[derive(Debug, Clone)]
pub struct ReadFault { /// s
pub span: Span, /// c
pub code: &'static str, /// m
pub message: String, /// h
pub help: Option<String> }
/// f
#[derive(Debug, Clone, Default)]
pub struct Found { /// f
pub figures: Vec<Figure>, /// f
pub faults: Vec<ReadFault> }
/// w
#[derive(Debug, Clone)]
pub struct WholeFault { /// s
pub span: Span, /// m
pub message: String, /// h
pub help: Option<String> }
/// r
pub fn read(_t: &str, _o: &ReadOptions) -> Found { Found::default() }
/// r
pub fn read_whole(_t: &str, _o: &ReadOptions) -> Result<Vec<Figure>, WholeFault> { Err(WholeFault { span: Span::default(), message: String::new(), help: None }) }
