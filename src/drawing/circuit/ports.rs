//! Port numbers by ISO 11727: 1 supply, 2 and 4 outlets, 3 and 5 exhausts; 12, 14 and 10 for what
//! moves the valve.

use crate::cutaway::model::{Chamber, ChamberId, List, OPEN_AIR, Role, Valve, ValveKind};
use std::collections::BTreeSet;

/// A port: its number and the chamber it leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Port {
    pub(crate) number: u8,
    pub(crate) chamber: ChamberId,
}

/// The ports of a valve with boxes, in the order of their numbers.
pub(crate) fn ports(valve: &Valve, chambers: &List<ChamberId, Chamber>) -> Vec<Port> {
    let joins = || valve.rest.iter().chain(&valve.shifted).copied();
    let mut seen = Vec::new();
    for chamber in joins().flat_map(|(a, b)| [a, b]) {
        if !seen.contains(&chamber) {
            seen.push(chamber);
        }
    }
    if let (ValveKind::Boxes(2), [a, b]) = (valve.kind, seen.as_slice()) {
        return two_ports(*a, *b, chambers);
    }
    let partners = |chamber: ChamberId| -> BTreeSet<ChamberId> {
        joins()
            .filter(|(a, b)| *a == chamber || *b == chamber)
            .map(|(a, b)| if a == chamber { b } else { a })
            .collect()
    };
    // An outlet is joined to different things in turn, one of which feeds it.
    let is_supplied = |chamber: &ChamberId| chambers[*chamber].role == Role::Supply;
    let mut outlets: Vec<ChamberId> = seen
        .iter()
        .copied()
        .filter(|chamber| *chamber != OPEN_AIR && !is_supplied(chamber))
        .filter(|chamber| 2 <= partners(*chamber).len())
        .collect();
    if outlets.is_empty() {
        outlets.extend(joins().map(|(_, to)| to).find(|to| *to != OPEN_AIR));
    }
    outlets.truncate(2);
    let mut others: Vec<ChamberId> = seen
        .iter()
        .copied()
        .filter(|chamber| *chamber != OPEN_AIR && !outlets.contains(chamber))
        .collect();
    others.sort_by_key(|chamber| !is_supplied(chamber));
    let mut ports = Vec::new();
    let mut inlets = others.into_iter();
    let outlet_numbers = [2, 4];
    ports.extend(outlet_numbers.into_iter().zip(&outlets).map(|(n, c)| port(n, *c)));
    ports.extend(inlets.next().map(|chamber| port(1, chamber)));
    let vented = outlets.iter().filter(|outlet| partners(**outlet).contains(&OPEN_AIR)).count();
    let vented = vented.max(usize::from(seen.contains(&OPEN_AIR)));
    let exhausts = inlets.chain(std::iter::repeat_n(OPEN_AIR, vented));
    ports.extend([3, 5, 7, 9, 11].into_iter().zip(exhausts).map(|(n, c)| port(n, c)));
    ports.sort_unstable();
    ports
}

/// The ports of a 2/2 valve: 1 for where air comes from, 2 for where it goes, be it the open air.
fn two_ports(from: ChamberId, to: ChamberId, chambers: &List<ChamberId, Chamber>) -> Vec<Port> {
    let is_backward = from == OPEN_AIR || to != OPEN_AIR && chambers[to].role == Role::Supply;
    let (inlet, outlet) = if is_backward { (to, from) } else { (from, to) };
    vec![port(1, inlet), port(2, outlet)]
}

fn port(number: u8, chamber: ChamberId) -> Port {
    Port { number, chamber }
}

/// The joins of a state as pairs of places in the list of ports. Each outlet vents by an exhaust
/// of its own: 2 by 3, 4 by 5.
pub(crate) fn paths(ports: &[Port], joins: &[(ChamberId, ChamberId)]) -> Vec<(usize, usize)> {
    let find = |chamber: ChamberId, partner: ChamberId| {
        if chamber != OPEN_AIR {
            return ports.iter().position(|port| port.chamber == chamber);
        }
        let outlet =
            ports.iter().find(|port| port.chamber == partner).map_or(0, |port| port.number);
        let own = ports.iter().position(|p| p.chamber == OPEN_AIR && p.number == outlet + 1);
        own.or_else(|| ports.iter().position(|port| port.chamber == OPEN_AIR))
    };
    let paths = joins.iter().filter_map(|(a, b)| Some((find(*a, *b)?, find(*b, *a)?)));
    paths.filter(|(from, to)| from != to).collect()
}

/// The number of what shifts a valve: the outlet that it joins to the supply, or 10 where it
/// shuts the supply off.
pub(crate) fn pilot_number(valve: &Valve, ports: &[Port]) -> u8 {
    let feeds = |joins: &[(ChamberId, ChamberId)]| {
        let numbers = paths(ports, joins).into_iter().map(|(from, to)| {
            let numbers = [ports[from].number, ports[to].number];
            (numbers[0].min(numbers[1]), numbers[0].max(numbers[1]))
        });
        numbers.filter(|(low, _)| *low == 1).map(|(_, outlet)| outlet).next()
    };
    match (feeds(&valve.shifted), valve.kind) {
        (Some(outlet), _) => 10 + outlet,
        (None, ValveKind::Boxes(2 | 3)) => 10,
        (None, _) => 12,
    }
}

/// The number of what brings it back.
pub(crate) fn return_number(valve: &Valve, ports: &[Port]) -> u8 {
    match pilot_number(valve, ports) {
        10 => 12,
        14 => 12,
        12 if ports.iter().any(|port| port.number == 4) => 14,
        _ => 10,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutaway::model::{Drive, Name, Returns};

    fn chamber(role: Role) -> Chamber {
        Chamber {
            name: Name::default(),
            role,
            regulated_from: None,
            regulator: None,
            holds: None,
            starts_as: None,
            is_quick: false,
        }
    }

    fn two_way(rest: Vec<(ChamberId, ChamberId)>, shifted: Vec<(ChamberId, ChamberId)>) -> Valve {
        Valve {
            name: Name::default(),
            kind: ValveKind::Boxes(2),
            drive: Drive::Mechanical,
            rest,
            shifted,
            widths: std::collections::BTreeMap::new(),
            shifts: Vec::new(),
            on_edge: false,
            returns: Returns::Spring,
        }
    }

    #[test]
    fn a_two_way_valve_has_ports_1_and_2() {
        // ISO 11727: 1 is the inlet, 2 the outlet; what joins 1 to 2 is 12, what shuts 1 is 10.
        let roles = [Role::OpenAir, Role::Pilot, Role::Supply];
        let chambers: List<ChamberId, Chamber> = roles.into_iter().map(chamber).collect();
        let (one, two) = (ChamberId::at(1), ChamberId::at(2));
        let vent = two_way(Vec::new(), vec![(one, OPEN_AIR)]);
        let found = ports(&vent, &chambers);
        assert_eq!(found, [port(1, one), port(2, OPEN_AIR)]);
        assert_eq!((pilot_number(&vent, &found), return_number(&vent, &found)), (12, 10));
        assert_eq!(paths(&found, &vent.shifted), [(0, 1)]);
        let shut_off = two_way(vec![(one, two)], Vec::new());
        let found = ports(&shut_off, &chambers);
        assert_eq!(found, [port(1, two), port(2, one)], "air comes from the supply");
        assert_eq!((pilot_number(&shut_off, &found), return_number(&shut_off, &found)), (10, 12));
    }
}
