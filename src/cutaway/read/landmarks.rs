//! Landmarks of pressure: each stands above another or is the lowest, so that all are in one order.

use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::model::{ChamberId, LandmarkId};
use crate::slip::Slip;
use crate::text::Spot;

impl Reader<'_> {
    /// `landmark NAME  above LANDMARK`.
    pub(super) fn landmark(&mut self, block: &LineBlock) -> Read<()> {
        let Some(at) = self.own::<LandmarkId>(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        self.clauses(block, "landmark", &mut cursor, |reader, cursor, _| {
            let token = cursor.peek();
            let below = reader.named::<LandmarkId>(block, cursor, "the landmark next below it")?;
            reader.must_differ(block, (at, below), token, "a landmark cannot be above itself")?;
            reader.engine.landmarks[at].above = Some(below);
            Ok(())
        })
    }

    /// The landmark that a supply's pressure reaches.
    pub(super) fn holds(
        &mut self,
        block: &LineBlock,
        cursor: &mut Cursor,
        supply: ChamberId,
    ) -> Read<()> {
        let mark = self.named::<LandmarkId>(block, cursor, "a landmark")?;
        self.engine.chambers[supply].holds = Some(mark);
        Ok(())
    }

    /// Puts all landmarks in one order, and tells of two of which neither is said to be higher.
    pub(super) fn order_landmarks(&mut self) {
        let marks = self.engine.landmarks.clone();
        let mut below: Option<LandmarkId> = None;
        let mut height: u8 = 0;
        let mut placed = 0;
        while placed < marks.len() {
            let mut next = marks.entries().filter(|(_, mark)| mark.above == below);
            let Some((at, _)) = next.next() else { break };
            if let Some((_, other)) = next.next() {
                let (first, second) = (&marks[at].name, &other.name);
                let message = format!(
                    "it is not said whether `{}` or `{}` is the higher pressure",
                    first.id, second.id
                );
                let spot = Spot::new(&self.source, second.span);
                let slip = Slip::stop("landmarks-unordered", spot, message);
                let help = format!("write `landmark {}  above {}`", second.id, first.id);
                return self.tell_whole(slip.help(help));
            }
            height = height.saturating_add(1);
            placed += 1;
            self.engine.landmarks[at].height = height;
            below = Some(at);
        }
        let left =
            marks.ids().find(|at| self.engine.landmarks[*at].height <= 1 && below != Some(*at));
        let is_loop = placed < marks.len();
        if let Some(at) = left.filter(|_| is_loop) {
            let name = &marks[at].name;
            let message = format!("`{}` is said to be above what is above it", name.id);
            let slip =
                Slip::stop("landmarks-unordered", Spot::new(&self.source, name.span), message);
            self.tell_whole(slip.help("leave out `above …` behind the lowest"));
        }
    }
}
