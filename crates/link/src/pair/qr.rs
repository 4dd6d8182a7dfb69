//! A ticket as a QR code (ISO/IEC 18004): its modules, dark or light. It draws nothing.

use qrcode::{Color, EcLevel, QrCode};

/// The modules of a QR code, row by row; the quiet zone of four modules around it is the drawer's to add.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Modules {
    side: usize,
    dark: Vec<bool>,
}

impl Modules {
    /// The code of a text, unless it is too long for one. Upper case with digits is the densest.
    pub(super) fn of(text: &str) -> Option<Self> {
        let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M).ok()?;
        let side = code.width();
        let dark = code
            .into_colors()
            .into_iter()
            .map(|color| color == Color::Dark)
            .collect();
        Some(Self { side, dark })
    }

    /// How many modules a side has.
    #[must_use]
    pub fn side(&self) -> usize {
        self.side
    }

    /// The rows from the top, each from the left; true is dark.
    pub fn rows(&self) -> impl Iterator<Item = &[bool]> {
        self.dark.chunks(self.side.max(1))
    }
}
