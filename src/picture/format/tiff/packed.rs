//! Rows out of a strip or tile that is packed by LZW, Deflate or PackBits, or not at all; all samples of a pixel, in
//! this machine's order, their differences added up.
//!
//! Source: TIFF 6.0 sections 9 (PackBits), 13 (LZW) and 14 (differences); Deflate by its supplement of 2002. The tiff
//! crate is not used: with samples beside the colours it reads half of each row and adds differences of other samples.

use std::io::{self, BufRead, BufReader, ErrorKind, Read, Seek, SeekFrom, Take};

use flate2::bufread::ZlibDecoder;
use weezl::{BitOrder, LzwStatus, decode};

use super::positioned_reader::PositionedReader;
use crate::picture::Fault;
use crate::picture::facts::Format;

/// Bits of a code of LZW's input, as TIFF has it.
const LZW_BITS: u8 = 8;
/// Bytes that are read from the disk at once.
const READ_BYTES: u64 = 32 << 10;

/// How a strip or tile is packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    None,
    Lzw,
    Deflate,
    PackBits,
}

/// A sample as it is stored.
pub trait StoredSample: Copy + Default {
    /// Bytes that it takes.
    const BYTES: usize;
    /// Reads a sample from its bytes in the file's order.
    fn from_stored(bytes: &[u8], big_endian: bool) -> Self;
    /// Returns the sum, wrapping around past the largest.
    fn plus(self, other: Self) -> Self;
    /// Returns the sample inverted: the largest less it.
    fn inverted(self) -> Self;
}

impl StoredSample for u8 {
    const BYTES: usize = 1;

    fn from_stored(bytes: &[u8], _: bool) -> u8 {
        bytes[0]
    }

    fn plus(self, other: u8) -> u8 {
        self.wrapping_add(other)
    }

    fn inverted(self) -> u8 {
        u8::MAX - self
    }
}

impl StoredSample for u16 {
    const BYTES: usize = 2;

    fn from_stored(bytes: &[u8], big_endian: bool) -> u16 {
        let two = [bytes[0], bytes[1]];
        if big_endian { u16::from_be_bytes(two) } else { u16::from_le_bytes(two) }
    }

    fn plus(self, other: u16) -> u16 {
        self.wrapping_add(other)
    }

    fn inverted(self) -> u16 {
        u16::MAX - self
    }
}

/// A file of such strips or tiles.
#[derive(Clone)]
pub struct Packed {
    pub file: PositionedReader,
    pub packing: Packing,
    pub is_big_endian: bool,
    /// Each sample is stored as its difference from that of the pixel to the left.
    pub has_differences: bool,
}

impl Packed {
    /// Returns the first rows of the chunk of so many bytes at a byte offset of the file, each of `row_len` samples, of
    /// which a pixel has `each`.
    ///
    /// # Errors
    /// When the chunk ends before its rows, or holds what it cannot.
    pub fn rows<S: StoredSample>(
        &mut self,
        (at, bytes): (u64, u64),
        (rows, row_len, each): (usize, usize, usize),
        mut take: impl FnMut(usize, &[S]),
    ) -> Result<(), Fault> {
        self.file.seek(SeekFrom::Start(at))?;
        let buffer_bytes = bytes.clamp(1, READ_BYTES) as usize;
        let mut unpacked =
            Unpacked::new(BufReader::with_capacity(buffer_bytes, self.file.clone().take(bytes)), self.packing);
        let (mut stored, mut row) = (vec![0; row_len * S::BYTES], vec![S::default(); row_len]);
        for number in 0..rows {
            unpacked.read_exact(&mut stored).map_err(fault)?;
            for (sample, bytes) in row.iter_mut().zip(stored.chunks_exact(S::BYTES)) {
                *sample = S::from_stored(bytes, self.is_big_endian);
            }
            if self.has_differences {
                add_up(&mut row, each);
            }
            take(number, &row);
        }
        Ok(())
    }
}

/// Translates an error of unpacking into a fault.
fn fault(error: io::Error) -> Fault {
    match error.kind() {
        ErrorKind::UnexpectedEof => Fault::truncated("the file ends before the picture does"),
        ErrorKind::InvalidData | ErrorKind::InvalidInput => {
            Fault::damaged(Format::Tiff, "a strip or tile that cannot be unpacked")
        }
        _ => error.into(),
    }
}

/// Samples out of their differences.
fn add_up<S: StoredSample>(row: &mut [S], each: usize) {
    // The sums of the usual numbers of channels stay in registers.
    fn of<S: StoredSample, const EACH: usize>(row: &mut [S]) {
        let mut sums = [S::default(); EACH];
        for pixel in row.as_chunks_mut::<EACH>().0 {
            for (sum, sample) in sums.iter_mut().zip(pixel) {
                *sum = sum.plus(*sample);
                *sample = *sum;
            }
        }
    }
    match each {
        1 => of::<S, 1>(row),
        3 => of::<S, 3>(row),
        4 => of::<S, 4>(row),
        _ => (each..row.len()).for_each(|at| row[at] = row[at].plus(row[at - each])),
    }
}

type Coded = BufReader<Take<PositionedReader>>;

/// A chunk's bytes on their way out.
enum Unpacked {
    Plain(Coded),
    Lzw(Coded, Box<decode::Decoder>),
    Deflate(Box<ZlibDecoder<Coded>>),
    PackBits(Coded, PackBitsRun),
}

/// What is left of a run of PackBits: a number of literal bytes, or of repeats of one.
enum PackBitsRun {
    Bytes(usize),
    Of(u8, usize),
}

impl Unpacked {
    fn new(coded: Coded, packing: Packing) -> Unpacked {
        match packing {
            Packing::None => Unpacked::Plain(coded),
            Packing::Lzw => {
                let codes = decode::Configuration::with_tiff_size_switch(BitOrder::Msb, LZW_BITS);
                Unpacked::Lzw(coded, Box::new(codes.with_yield_on_full_buffer(true).build()))
            }
            Packing::Deflate => Unpacked::Deflate(Box::new(ZlibDecoder::new(coded))),
            Packing::PackBits => Unpacked::PackBits(coded, PackBitsRun::Bytes(0)),
        }
    }
}

impl Read for Unpacked {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        match self {
            Unpacked::Plain(coded) => coded.read(into),
            Unpacked::Deflate(decoder) => decoder.read(into),
            Unpacked::Lzw(coded, decoder) => loop {
                let step = decoder.decode_bytes(coded.fill_buf()?, into);
                coded.consume(step.consumed_in);
                match step.status {
                    Err(_) => return Err(ErrorKind::InvalidData.into()),
                    Ok(LzwStatus::Ok) if step.consumed_out == 0 => {}
                    Ok(LzwStatus::NoProgress) => return Ok(0),
                    Ok(LzwStatus::Ok | LzwStatus::Done) => return Ok(step.consumed_out),
                }
            },
            Unpacked::PackBits(coded, run) => unpack_bits(coded, run, into),
        }
    }
}

/// Unpacks some bytes of a PackBits chunk; returns none at its end.
fn unpack_bits(coded: &mut Coded, run: &mut PackBitsRun, into: &mut [u8]) -> io::Result<usize> {
    while let PackBitsRun::Bytes(0) | PackBitsRun::Of(_, 0) = run {
        let Some(head) = byte(coded)? else { return Ok(0) };
        *run = match i8::from_ne_bytes([head]) {
            // Source: TIFF 6.0 section 9: nothing, a run of one byte, literal bytes.
            i8::MIN => continue,
            times @ ..0 => match byte(coded)? {
                Some(value) => PackBitsRun::Of(value, 1 + usize::from(times.unsigned_abs())),
                None => return Ok(0),
            },
            more => PackBitsRun::Bytes(1 + usize::from(more.unsigned_abs())),
        };
    }
    match run {
        PackBitsRun::Bytes(left) => {
            let some = into.len().min(*left);
            let read = coded.read(&mut into[..some])?;
            *left -= read;
            Ok(read)
        }
        PackBitsRun::Of(value, left) => {
            let some = into.len().min(*left);
            into[..some].fill(*value);
            *left -= some;
            Ok(some)
        }
    }
}

fn byte(coded: &mut Coded) -> io::Result<Option<u8>> {
    let mut one = [0];
    Ok((coded.read(&mut one)? == 1).then_some(one[0]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::Compression;
    use flate2::write::ZlibEncoder;
    use std::io::Write;

    fn packed(coded: &[u8], packing: Packing, has_differences: bool) -> Packed {
        let mut file = tempfile::tempfile().unwrap();
        file.write_all(coded).unwrap();
        Packed { file: PositionedReader::new(file), packing, is_big_endian: true, has_differences }
    }

    fn unpack<S: StoredSample>(
        mut packed: Packed,
        bytes: usize,
        shape: (usize, usize, usize),
    ) -> Result<Vec<S>, Fault> {
        let mut all = Vec::new();
        packed.rows((0, bytes as u64), shape, |_, row: &[S]| all.extend_from_slice(row))?;
        Ok(all)
    }

    #[test]
    fn bits_are_unpacked_as_the_standard_s_own_example() {
        // Source: TIFF 6.0 section 9, the well-known example of PackBits: runs, literal bytes, a run.
        let coded = [0xFE, 0xAA, 0x02, 0x80, 0x00, 0x2A, 0xFD, 0xAA, 0x03, 0x80, 0x00, 0x2A, 0x22, 0x80, 0xF7, 0xAA];
        let plain = [[0xAA; 3].as_slice(), &[0x80, 0, 0x2A], &[0xAA; 4], &[0x80, 0, 0x2A, 0x22], &[0xAA; 10]].concat();
        let found = unpack::<u8>(packed(&coded, Packing::PackBits, false), coded.len(), (2, 12, 1)).unwrap();
        assert_eq!(found, plain);
        assert!(unpack::<u8>(packed(&coded, Packing::PackBits, false), coded.len(), (1, 25, 1)).is_err());
    }

    #[test]
    fn differences_are_added_up_by_channel_however_many_there_are() {
        for each in 1..8 {
            let row: Vec<u16> = (0..each * 9).map(|at| (at * at * 977) as u16).collect();
            let less = |at: usize| if at < each { 0 } else { row[at - each] };
            let coded: Vec<u8> = (0..row.len()).flat_map(|at| row[at].wrapping_sub(less(at)).to_be_bytes()).collect();
            let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
            encoder.write_all(&coded).unwrap();
            let coded = encoder.finish().unwrap();
            let found = unpack::<u16>(packed(&coded, Packing::Deflate, true), coded.len(), (1, row.len(), each));
            assert_eq!(found.unwrap(), row, "{each}");
        }
    }

    #[test]
    fn early_ends_and_impossible_data_are_different_faults() {
        let plain: Vec<u8> = (0..2000_u32).map(|at| (at * at % 251) as u8).collect();
        let lzw = weezl::encode::Encoder::with_tiff_size_switch(BitOrder::Msb, LZW_BITS).encode(&plain).unwrap();
        let read = |coded: &[u8]| unpack::<u8>(packed(coded, Packing::Lzw, false), coded.len(), (20, 100, 1));
        assert_eq!(read(&lzw).unwrap(), plain);
        assert_eq!(read(&lzw[..lzw.len() / 2]).unwrap_err(), Fault::truncated("the file ends before the picture does"));
        let what = read(&[0xFF; 900]).unwrap_err().what;
        assert_eq!(what, "damaged TIFF: a strip or tile that cannot be unpacked");
    }
}
