//! Colours: sRGB bytes, and the Oklab space in which the palette mixes them.

use std::sync::LazyLock;

/// A colour in sRGB with straight (not premultiplied) alpha.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Color {
    /// Red, 0..=255.
    pub r: u8,
    /// Green, 0..=255.
    pub g: u8,
    /// Blue, 0..=255.
    pub b: u8,
    /// Opacity, 0 (nothing) ..= 255 (solid).
    pub a: u8,
}

impl Color {
    /// A solid colour from `0xRRGGBB`.
    pub const fn hex(rgb: u32) -> Self {
        let [_, r, g, b] = rgb.to_be_bytes();
        Self { r, g, b, a: 255 }
    }

    /// The same colour with another opacity.
    pub const fn with_alpha(self, a: u8) -> Self {
        Self { a, ..self }
    }

    /// This colour laid over a solid `ground`, as a painter that blends sRGB bytes would show it.
    pub fn over(self, ground: Self) -> Self {
        let mix = |top: u8, under: u8| {
            let (top, under, a) = (u16::from(top), u16::from(under), u16::from(self.a));
            u8::try_from((top * a + under * (255 - a) + 127) / 255).unwrap_or(u8::MAX)
        };
        Self { r: mix(self.r, ground.r), g: mix(self.g, ground.g), b: mix(self.b, ground.b), a: 255 }
    }

    /// Between this colour (0) and another (1), channel by channel in sRGB; only for colours that differ
    /// little.
    pub(super) fn lerp(self, other: Self, fraction: f32) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a blend of two bytes is a byte")]
        let mix = |from: u8, to: u8| (f32::from(from) + (f32::from(to) - f32::from(from)) * fraction + 0.5) as u8;
        Self { r: mix(self.r, other.r), g: mix(self.g, other.g), b: mix(self.b, other.b), a: mix(self.a, other.a) }
    }

    /// Relative luminance, 0 (black) ..= 1 (white), of the solid colour: WCAG 2.1.
    pub fn luminance(self) -> f64 {
        let [r, g, b] = [self.r, self.g, self.b].map(|byte| decode(f64::from(byte) / 255.0));
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast ratio of two solid colours, 1 ..= 21: (L₁ + 0.05)/(L₂ + 0.05), WCAG 2.1.
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

/// sRGB electro-optical transfer, IEC 61966-2-1: encoded 0..=1 to linear 0..=1.
fn decode(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

/// The inverse of [`decode`].
fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 }
}

/// Encoded bytes for linear values in 4095 equal steps; even in the shadows one step is less than a byte.
static ENCODED: LazyLock<Vec<u8>> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=255")]
    let byte = |step: u32| (encode(f64::from(step) / 4095.0) * 255.0 + 0.5) as u8;
    (0..=4095).map(byte).collect()
});

/// A colour in Oklab (B. Ottosson, 'A perceptual color space for image processing', 2020; matrices from there).
///
/// Equal distances look about equally different. `l` runs from 0 (black) to 1 (white).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Oklab {
    pub(super) l: f32,
    pub(super) a: f32,
    pub(super) b: f32,
}

impl Oklab {
    pub(super) const fn new(l: f32, a: f32, b: f32) -> Self {
        Self { l, a, b }
    }

    pub(super) fn lerp(self, other: Self, t: f32) -> Self {
        Self {
            l: self.l + (other.l - self.l) * t,
            a: self.a + (other.a - self.a) * t,
            b: self.b + (other.b - self.b) * t,
        }
    }

    pub(super) fn from_color(color: Color) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        Self::from_linear([color.r, color.g, color.b].map(|byte| decode(f64::from(byte) / 255.0) as f32))
    }

    pub(super) fn from_linear([r, g, b]: [f32; 3]) -> Self {
        let l = (0.412_221_46 * r + 0.536_332_55 * g + 0.051_445_995 * b).cbrt();
        let m = (0.211_903_5 * r + 0.680_699_5 * g + 0.107_396_96 * b).cbrt();
        let s = (0.088_302_46 * r + 0.281_718_85 * g + 0.629_978_7 * b).cbrt();
        Self {
            l: 0.210_454_26 * l + 0.793_617_8 * m - 0.004_072_047 * s,
            a: 1.977_998_5 * l - 2.428_592_2 * m + 0.450_593_7 * s,
            b: 0.025_904_037 * l + 0.782_771_77 * m - 0.808_675_77 * s,
        }
    }

    /// Linear sRGB; outside 0..=1 if the screen cannot show the colour.
    pub(super) fn to_linear(self) -> [f32; 3] {
        let l = (self.l + 0.396_337_78 * self.a + 0.215_803_76 * self.b).powi(3);
        let m = (self.l - 0.105_561_346 * self.a - 0.063_854_17 * self.b).powi(3);
        let s = (self.l - 0.089_484_18 * self.a - 1.291_485_5 * self.b).powi(3);
        [
            4.076_741_7 * l - 3.307_711_6 * m + 0.230_969_94 * s,
            -1.268_438 * l + 2.609_757_4 * m - 0.341_319_38 * s,
            -0.004_196_086_3 * l - 0.703_418_6 * m + 1.707_614_7 * s,
        ]
    }

    /// The nearest solid colour of the screen, channel by channel.
    pub(super) fn to_color(self) -> Color {
        let table = &*ENCODED;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=4095")]
        let [r, g, b] = self.to_linear().map(|linear| table[(linear.clamp(0.0, 1.0) * 4095.0 + 0.5) as usize & 4095]);
        Color { r, g, b, a: 255 }
    }

    #[cfg(test)]
    pub(super) fn distance(self, other: Self) -> f32 {
        let (l, a, b) = (self.l - other.l, self.a - other.a, self.b - other.b);
        (l * l + a * a + b * b).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn contrast_is_that_of_the_standard() {
        let (white, black) = (Color::hex(0xFF_FFFF), Color::hex(0));
        assert_abs_diff_eq!(white.contrast(black), 21.0, epsilon = 1e-9);
        assert_abs_diff_eq!(black.contrast(white), 21.0, epsilon = 1e-9);
        // #767676 is the well-known lightest grey that passes 4.5:1 on white.
        assert!(Color::hex(0x76_7676).contrast(white) >= 4.5);
        assert!(Color::hex(0x77_7777).contrast(white) < 4.5);
    }

    #[test]
    fn oklab_of_the_primaries_is_that_of_the_web() {
        // Oklab of sRGB red and blue: "CSS Color Module Level 4", World Wide Web Consortium, 2022, from memory.
        let red = Oklab::from_color(Color::hex(0xFF_0000));
        assert_abs_diff_eq!(red.l, 0.627_96, epsilon = 2e-4);
        assert_abs_diff_eq!(red.a, 0.224_86, epsilon = 2e-4);
        assert_abs_diff_eq!(red.b, 0.125_85, epsilon = 2e-4);
        let blue = Oklab::from_color(Color::hex(0x00_00FF));
        assert_abs_diff_eq!(blue.l, 0.452_01, epsilon = 2e-4);
        assert_abs_diff_eq!(blue.b, -0.311_53, epsilon = 2e-4);
    }

    #[test]
    fn oklab_comes_back_within_a_byte() {
        for rgb in (0..0x100_0000).step_by(4099) {
            let color = Color::hex(rgb);
            let back = Oklab::from_color(color).to_color();
            for (x, y) in [(color.r, back.r), (color.g, back.g), (color.b, back.b)] {
                assert!(x.abs_diff(y) <= 1, "{color:?} {back:?}");
            }
        }
    }

    #[test]
    fn lays_one_colour_over_another() {
        let ground = Color::hex(0xFF_FFFF);
        assert_eq!(Color::hex(0).with_alpha(0).over(ground), ground);
        assert_eq!(Color::hex(0x12_3456).over(ground), Color::hex(0x12_3456));
    }
}
