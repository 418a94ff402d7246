package tap

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// The container is read here and not with a library. github.com/go-audio/wav (v1.1.0) hides the sub-format and the
// block size, gives no error where its header fails, and takes as much memory as a chunk claims to be long; the tests
// use it as a second writer.
//
// Layout: Multimedia Programming Interface and Data Specifications 1.0, IBM and Microsoft (1991), "Waveform Audio File
// Format", and the header WAVEFORMATEXTENSIBLE of mmreg.h; both from memory.

// Format tags.
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagExtensible = 0xFFFE
)

// guidTail ends every sub-format that stands for a plain format tag.
const guidTail = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71"

// slack is by how many bytes a RIFF size may be off: some writers count its own header, or leave the pad byte out.
const slack = 8

// endless is the size in bytes from which on a stream's header says nothing: recorders write 2³¹, 2³² − 1 or a little less.
const endless = 1<<31 - 1<<16

// format is what a recording's header says of its samples.
type format struct {
	float                bool
	bits, channels, rate int
}

// frame is the number of bytes of one sample of all channels.
func (f format) frame() int { return f.bits / 8 * f.channels }

// wave is an opened recording; next gives its sound.
type wave struct {
	format
	r      *bufio.Reader
	at     int64 // offset of the next byte
	end    int64 // where the file ends by its RIFF header
	left   int64 // bytes of sound still to come
	stream bool  // the header does not know how long the sound is
	pad    int64 // 1 when the sound is followed by a pad byte
	raw    []byte
	decode func([]byte) float64
}

// openWave reads a header up to the first byte of sound.
func openWave(r io.Reader, stream bool) (*wave, error) {
	w := &wave{r: bufio.NewReader(r), stream: stream}
	var head [12]byte
	if err := w.fill(head[:], "the header"); err != nil {
		return nil, err
	}
	if string(head[:4]) != "RIFF" || string(head[8:]) != "WAVE" {
		return nil, fmt.Errorf("byte 0: this is no WAV file, it begins with %q; convert the recording to WAV", head[:4])
	}
	w.end = 8 + int64(binary.LittleEndian.Uint32(head[4:]))
	for {
		id, size, err := w.chunk()
		if err != nil {
			return nil, err
		}
		switch id {
		case "fmt ":
			err = w.readFormat(size)
		case "data":
			return w, w.openSound(size)
		default:
			err = w.skip(size, id)
		}
		if err != nil {
			return nil, err
		}
	}
}

// chunk reads the head of the next chunk.
func (w *wave) chunk() (id string, size int64, err error) {
	var head [8]byte
	if err := w.fill(head[:], "the header, before any sound"); err != nil {
		return "", 0, err
	}
	size = int64(binary.LittleEndian.Uint32(head[4:]))
	return string(head[:4]), size, nil
}

// readFormat reads and judges a format chunk.
func (w *wave) readFormat(size int64) error {
	at := w.at
	var b [40]byte
	if size < 16 {
		return fmt.Errorf("byte %d: the format takes %d bytes; it has 16 or more; record again", at, size)
	}
	n := min(size, int64(len(b)))
	if err := w.fill(b[:n], "the format"); err != nil {
		return err
	}
	if err := w.skip(size-n, "fmt "); err != nil {
		return err
	}
	f, err := parseFormat(b[:n])
	if err != nil {
		return fmt.Errorf("byte %d: %w", at, err)
	}
	w.format = f
	return nil
}

// parseFormat reads the body of a format chunk, of 16 to 40 bytes.
func parseFormat(b []byte) (format, error) {
	tag, le := binary.LittleEndian.Uint16(b), binary.LittleEndian
	f := format{channels: int(le.Uint16(b[2:])), rate: int(le.Uint32(b[4:])), bits: int(le.Uint16(b[14:]))}
	if tag == tagExtensible {
		if len(b) < 40 || string(b[26:40]) != guidTail {
			return f, errors.New("the extended format names no kind of sample that is known; save the recording as 16-bit WAV")
		}
		tag = le.Uint16(b[24:])
	}
	f.float = tag == tagFloat
	perSecond, align := int64(le.Uint32(b[8:])), int(le.Uint16(b[12:]))
	switch {
	case tag != tagPCM && tag != tagFloat:
		return f, fmt.Errorf("samples of format %#04x are not read; save the recording as 16-bit WAV", tag)
	case f.float && f.bits != 32 && f.bits != 64, !f.float && f.bits != 8 && f.bits != 16 && f.bits != 24 && f.bits != 32:
		return f, fmt.Errorf("samples of %d bits are not read; 8, 16, 24 and 32 bits and floats of 32 and 64 are", f.bits)
	case f.channels < 1 || f.channels > 2:
		return f, fmt.Errorf("%d channels are not read; record in mono or stereo", f.channels)
	case f.rate < 8000 || f.rate > 192000:
		return f, fmt.Errorf("a rate of %d Hz is not read; record at 8000 to 192000 Hz", f.rate)
	case align != f.frame():
		return f, fmt.Errorf("the header gives %d bytes a frame, %d channels of %d bits make %d; record again", align, f.channels, f.bits, f.frame())
	case perSecond != int64(f.rate)*int64(align):
		// One of the two rates is wrong, and a wrong rate would give a wrong frequency.
		return f, fmt.Errorf("the header gives %d bytes a second, %d Hz make %d; record again", perSecond, f.rate, f.rate*align)
	}
	return f, nil
}

// openSound judges the size of the data chunk and makes ready to decode it.
func (w *wave) openSound(size int64) error {
	switch {
	case w.bits == 0:
		return fmt.Errorf("byte %d: the sound comes before its format; record again", w.at)
	case w.stream:
		if size == 0 || size >= endless { // what a recorder writes that cannot go back to say how long it was
			size = math.MaxInt64
		}
		w.left = size / int64(w.frame()) * int64(w.frame())
		w.raw, w.decode = make([]byte, blockFrames*w.frame()), w.decoder()
		return nil
	case size == 0:
		return fmt.Errorf("byte %d: the recording is empty; record again", w.at)
	case size%int64(w.frame()) != 0:
		return fmt.Errorf("byte %d: %d bytes of sound are no whole number of frames of %d; record again", w.at, size, w.frame())
	case w.at+size > w.end+slack:
		return fmt.Errorf("byte %d: the sound would end at byte %d, the file ends at %d by its header; record again, or read it through a pipe, as cat FILE | pullcard tap -", w.at, w.at+size, w.end)
	}
	w.left, w.pad = size, size%2
	w.raw = make([]byte, blockFrames*w.frame())
	w.decode = w.decoder()
	return nil
}

// fill reads the whole of b, which is part of what.
func (w *wave) fill(b []byte, what string) error {
	n, err := io.ReadFull(w.r, b)
	w.at += int64(n)
	return w.broken(err, what)
}

// skip passes over a chunk's body.
func (w *wave) skip(size int64, id string) error {
	n, err := io.CopyN(io.Discard, w.r, size+size%2)
	w.at += n
	return w.broken(err, fmt.Sprintf("chunk %q", id))
}

// broken words an error of the reader; an early end is not the io.EOF that ends a loop.
func (w *wave) broken(err error, what string) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("byte %d: the file ends within %s; copy or record it again", w.at, what)
	}
	return fmt.Errorf("byte %d: %w", w.at, err)
}
