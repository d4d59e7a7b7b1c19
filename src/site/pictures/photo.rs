//! Photographs: decode with limits, turn upright, scale down, encode with nothing but pixels.

use super::{LONGEST_SIDE, MOST_DECODED, MOST_PIXELS, Picture, PictureFault, WIDEST};
use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::{CompressionType, FilterType, PngDecoder, PngEncoder};
use image::{DynamicImage, ImageDecoder, ImageError, Limits, imageops};
use std::io::Cursor;
use std::sync::{Mutex, PoisonError};

/// Quality of encoded JPEG, of 100: above it files grow much faster than what one can see.
const QUALITY: u8 = 85;

/// Memory in bytes for what stands before the pixels: a colour profile can claim to be endless.
const MOST_BEFORE_PIXELS: u64 = 16_000_000;

/// Most scans of a JPEG: each goes over all pixels again, in next to no bytes.
const MOST_SCANS: usize = 200;

/// Photographs with more pixels are decoded one at a time, however many threads there are.
const LARGE: u64 = 4_000_000;
static LARGE_ONE: Mutex<()> = Mutex::new(());

/// Prepares a file that starts like PNG or JPEG.
pub(super) fn prepare(bytes: &[u8]) -> Result<Picture, PictureFault> {
    let is_large = LARGE < pixels(bytes)?;
    let _alone = is_large.then(|| LARGE_ONE.lock().unwrap_or_else(PoisonError::into_inner));
    let is_png = is_png(bytes);
    let pixels = if is_png { decode(png(bytes)?)? } else { decode(jpeg(bytes)?)? };
    let pixels = scale_down(eight_bits(pixels));
    let (width, height) = (pixels.width(), pixels.height());
    let encoded = if is_png { encode_png(&pixels) } else { encode_jpeg(&pixels) };
    let bytes = encoded.map_err(damaged)?;
    Ok(Picture { bytes, extension: if is_png { "png" } else { "jpg" }, width, height })
}

/// How many pixels a photograph promises to have.
pub(super) fn pixels(bytes: &[u8]) -> Result<u64, PictureFault> {
    let (width, height) =
        if is_png(bytes) { png(bytes)?.dimensions() } else { jpeg(bytes)?.dimensions() };
    Ok(u64::from(width) * u64::from(height))
}

fn is_png(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x89PNG")
}

fn png(bytes: &[u8]) -> Result<PngDecoder<Cursor<&[u8]>>, PictureFault> {
    // The decoder asks for room for a row before it tells how long one is (W3C PNG, 11.2.1).
    if let Some([a, b, c, d, e, f, g, h]) = bytes.get(16..24).and_then(|sides| sides.first_chunk())
    {
        fits(u32::from_be_bytes([*a, *b, *c, *d]), u32::from_be_bytes([*e, *f, *g, *h]))?;
    }
    PngDecoder::with_limits(Cursor::new(bytes), limits(MOST_BEFORE_PIXELS)).map_err(damaged)
}

fn jpeg(bytes: &[u8]) -> Result<JpegDecoder<Cursor<&[u8]>>, PictureFault> {
    // In the coded pixels themselves this pair of bytes does not occur (ITU-T T.81, B.1.1.5).
    if MOST_SCANS < bytes.windows(2).filter(|pair| pair == b"\xff\xda").count() {
        return Err(PictureFault::TooMuchMemory);
    }
    JpegDecoder::new(Cursor::new(bytes)).map_err(damaged)
}

fn limits(memory: u64) -> Limits {
    let mut limits = Limits::default();
    limits.max_alloc = Some(memory);
    limits
}

/// Whether a photograph of these sides is not too large.
fn fits(width: u32, height: u32) -> Result<(), PictureFault> {
    let too_many = MOST_PIXELS < u64::from(width) * u64::from(height);
    match too_many || LONGEST_SIDE < width.max(height) {
        true => Err(PictureFault::TooLarge { width, height }),
        false => Ok(()),
    }
}

/// The pixels the right way up.
fn decode(mut decoder: impl ImageDecoder) -> Result<DynamicImage, PictureFault> {
    let (width, height) = decoder.dimensions();
    fits(width, height)?;
    if MOST_DECODED < decoder.total_bytes() {
        return Err(PictureFault::TooMuchMemory);
    }
    decoder.set_limits(limits(MOST_DECODED)).map_err(damaged)?;
    let orientation = decoder.orientation().map_err(damaged)?;
    let mut pixels = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    pixels.apply_orientation(orientation);
    Ok(pixels)
}

/// Eight bits a channel, which is what screens show and JPEG holds.
fn eight_bits(pixels: DynamicImage) -> DynamicImage {
    let colour = pixels.color();
    match (colour.has_color(), colour.has_alpha()) {
        (true, true) => DynamicImage::ImageRgba8(pixels.into_rgba8()),
        (true, false) => DynamicImage::ImageRgb8(pixels.into_rgb8()),
        (false, true) => DynamicImage::ImageLumaA8(pixels.into_luma_alpha8()),
        (false, false) => DynamicImage::ImageLuma8(pixels.into_luma8()),
    }
}

fn scale_down(pixels: DynamicImage) -> DynamicImage {
    if pixels.width() <= WIDEST {
        return pixels;
    }
    let height = u64::from(pixels.height()) * u64::from(WIDEST);
    let height = (height + u64::from(pixels.width()) / 2) / u64::from(pixels.width());
    let height = u32::try_from(height).unwrap_or(u32::MAX).max(1);
    // Catmull-Rom is a polynomial: the same pixels on every platform, unlike a windowed sine.
    pixels.resize_exact(WIDEST, height, imageops::FilterType::CatmullRom)
}

fn encode_png(pixels: &DynamicImage) -> Result<Vec<u8>, ImageError> {
    let mut bytes = Vec::new();
    let encoder =
        PngEncoder::new_with_quality(&mut bytes, CompressionType::Default, FilterType::Adaptive);
    pixels.write_with_encoder(encoder)?;
    Ok(bytes)
}

fn encode_jpeg(pixels: &DynamicImage) -> Result<Vec<u8>, ImageError> {
    let mut bytes = Vec::new();
    pixels.write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, QUALITY))?;
    Ok(bytes)
}

fn damaged(error: ImageError) -> PictureFault {
    match error {
        ImageError::Limits(_) => PictureFault::TooMuchMemory,
        other => PictureFault::Damaged { why: other.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::super::prepare;
    use super::*;
    use image::{Rgb, RgbImage};

    const NOTE: &[u8] = b"52.5200N 13.4050E";

    fn half_red_half_blue(width: u32, height: u32) -> DynamicImage {
        let red_left = |x, _| if x < width / 2 { Rgb([220, 20, 20]) } else { Rgb([20, 20, 220]) };
        DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, red_left))
    }

    fn is_red(pixels: &DynamicImage, x: u32, y: u32) -> bool {
        let rgb = pixels.to_rgb8();
        let Rgb([red, _, blue]) = *rgb.get_pixel(x, y);
        blue < red
    }

    /// A JPEG with an EXIF block: the orientation, and a note of where it was taken.
    fn jpeg_with_exif(pixels: &DynamicImage, orientation: u8) -> Vec<u8> {
        // TIFF, big-endian, one directory with one entry: tag 0x0112, SHORT, count 1 (Exif 2.3,
        // 4.6.4 "Orientation", memory); the note follows outside of any entry.
        let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
        exif.extend(NOTE);
        let plain = encode_jpeg(pixels).unwrap();
        let mut bytes = plain[..2].to_vec();
        bytes.extend([0xff, 0xe1]);
        bytes.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
        bytes.extend(exif);
        bytes.extend(&plain[2..]);
        bytes
    }

    fn holds(bytes: &[u8], piece: &[u8]) -> bool {
        bytes.windows(piece.len()).any(|window| window == piece)
    }

    #[test]
    fn a_photo_loses_its_notes_and_stands_upright() {
        // Orientation 6 means: the first row is the right-hand side, the first column the top.
        let stored = jpeg_with_exif(&half_red_half_blue(40, 20), 6);
        assert!(holds(&stored, NOTE) && holds(&stored, b"Exif"));
        let picture = prepare(&stored).unwrap();
        assert_eq!((picture.extension, picture.width, picture.height), ("jpg", 20, 40));
        assert!(!holds(&picture.bytes, NOTE) && !holds(&picture.bytes, b"Exif"));
        let shown = image::load_from_memory(&picture.bytes).unwrap();
        assert!(is_red(&shown, 10, 5) && !is_red(&shown, 10, 35), "red was left, so it is on top");
    }

    #[test]
    fn a_png_loses_its_notes() {
        let plain = encode_png(&half_red_half_blue(8, 8)).unwrap();
        // A text chunk right after the header chunk, which ends at byte 33. Its check sum is made
        // by the reader's own rule below.
        let mut chunk = b"tEXtComment\0".to_vec();
        chunk.extend(NOTE);
        let mut stored = plain[..33].to_vec();
        stored.extend(u32::try_from(chunk.len() - 4).unwrap().to_be_bytes());
        stored.extend(&chunk);
        stored.extend(crc32(&chunk).to_be_bytes());
        stored.extend(&plain[33..]);
        assert!(holds(&stored, NOTE));
        let picture = prepare(&stored).unwrap();
        assert_eq!((picture.extension, picture.width, picture.height), ("png", 8, 8));
        assert!(!holds(&picture.bytes, b"tEXt") && !holds(&picture.bytes, NOTE));
        let [shown, before] =
            [&picture.bytes, &plain].map(|bytes| image::load_from_memory(bytes).unwrap());
        assert_eq!(shown.to_rgb8(), before.to_rgb8(), "not a pixel changed");
    }

    /// CRC-32 as PNG uses it (PNG specification, annex D).
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 }
            })
        })
    }

    #[test]
    fn a_wide_photo_is_scaled_down_and_a_narrow_one_is_not() {
        let wide = prepare(&encode_jpeg(&half_red_half_blue(2000, 1500)).unwrap()).unwrap();
        assert_eq!((wide.width, wide.height), (1600, 1200));
        let shown = image::load_from_memory(&wide.bytes).unwrap();
        assert_eq!((shown.width(), shown.height()), (1600, 1200));
        assert!(is_red(&shown, 700, 600) && !is_red(&shown, 900, 600));
        let narrow = prepare(&encode_png(&half_red_half_blue(1600, 9)).unwrap()).unwrap();
        assert_eq!((narrow.width, narrow.height), (1600, 9));
        let thin = prepare(&encode_png(&half_red_half_blue(4000, 1)).unwrap()).unwrap();
        assert_eq!((thin.width, thin.height), (1600, 1));
    }

    #[test]
    fn transparency_and_grey_are_kept() {
        let clear = DynamicImage::new_rgba16(3, 3);
        let picture = prepare(&encode_png(&clear).unwrap()).unwrap();
        let shown = image::load_from_memory(&picture.bytes).unwrap();
        assert_eq!(shown.color(), image::ColorType::Rgba8);
        assert_eq!(shown.to_rgba8().get_pixel(1, 1).0, [0, 0, 0, 0]);
        let grey = prepare(&encode_jpeg(&DynamicImage::new_luma8(3, 3)).unwrap()).unwrap();
        let shown = image::load_from_memory(&grey.bytes).unwrap();
        assert_eq!(shown.color(), image::ColorType::L8);
    }

    #[test]
    fn a_promise_of_too_many_pixels_is_refused_before_decoding() {
        let mut bytes = encode_png(&half_red_half_blue(8, 8)).unwrap();
        bytes[16..20].copy_from_slice(&60_000_u32.to_be_bytes());
        bytes[20..24].copy_from_slice(&60_000_u32.to_be_bytes());
        let sum = crc32(&bytes[12..29]).to_be_bytes();
        bytes[29..33].copy_from_slice(&sum);
        let fault = prepare(&bytes).unwrap_err();
        assert_eq!(fault, PictureFault::TooLarge { width: 60_000, height: 60_000 });
        assert_eq!(fault.code(), "image-too-large");
        let text = fault.to_string();
        let told = "the picture has 60000 × 60000 pixels, more than 40 million or a side longer \
                    than 20000";
        assert_eq!(text, told);
    }

    /// A PNG whose header says something else than its pixels.
    fn png_claiming(width: u32, height: u32, depth: u8, colour: u8) -> Vec<u8> {
        let mut bytes = encode_png(&half_red_half_blue(8, 8)).unwrap();
        bytes[16..20].copy_from_slice(&width.to_be_bytes());
        bytes[20..24].copy_from_slice(&height.to_be_bytes());
        bytes[24..26].copy_from_slice(&[depth, colour]);
        let sum = crc32(&bytes[12..29]).to_be_bytes();
        bytes[29..33].copy_from_slice(&sum);
        bytes
    }

    #[test]
    fn what_takes_too_much_memory_is_refused_before_decoding() {
        for (width, height) in [(1, 40_000_000), (20_001, 1)] {
            let fault = prepare(&png_claiming(width, height, 8, 0)).unwrap_err();
            assert_eq!(fault, PictureFault::TooLarge { width, height });
        }
        // Sixteen bits of four channels: eight bytes a pixel (PNG specification, 11.2.2).
        let fault = prepare(&png_claiming(6_000, 6_000, 16, 6)).unwrap_err();
        assert_eq!(fault, PictureFault::TooMuchMemory);
        assert_eq!(fault.code(), "image-too-large");
    }

    #[test]
    fn a_jpeg_that_goes_over_its_pixels_without_end_is_refused() {
        let mut bytes = encode_jpeg(&half_red_half_blue(8, 8)).unwrap();
        let end = bytes.len() - 2;
        let scan = bytes.windows(2).position(|pair| pair == b"\xff\xda").unwrap();
        let again = bytes[scan..end].repeat(300);
        bytes.splice(end..end, again);
        assert_eq!(prepare(&bytes).unwrap_err(), PictureFault::TooMuchMemory);
    }

    #[test]
    fn damaged_and_foreign_files_are_faults_not_panics() {
        let whole = jpeg_with_exif(&half_red_half_blue(64, 64), 3);
        let png = encode_png(&half_red_half_blue(64, 64)).unwrap();
        assert_eq!(prepare(b"GIF89a").unwrap_err(), PictureFault::OfAnotherKind);
        assert_eq!(prepare(b"").unwrap_err(), PictureFault::OfAnotherKind);
        assert!(prepare(&png[..png.len() / 2]).is_err());
        for bytes in [&whole, &png] {
            for at in 0..bytes.len().min(700) {
                let mut broken = bytes.clone();
                broken[at] ^= 0x55;
                let _ = prepare(&broken);
                let _ = prepare(&bytes[..at]);
            }
        }
        let large = vec![b'<'; super::super::MOST_BYTES + 1];
        let text = prepare(&large).unwrap_err().to_string();
        assert_eq!(text, "the picture has 40.1 MB, more than 40.0 MB");
    }
}
