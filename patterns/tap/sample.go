package tap

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// loudest is the largest float that passes for a sample; full scale is 1, or 2³¹ where a program saved integers.
const loudest = 1 << 32

// next decodes up to len(to[0]) frames, a slice for each channel, full scale ±1; io.EOF after the last.
func (w *wave) next(to [][]float64) (int, error) {
	if w.left == 0 && w.stream {
		return 0, io.EOF
	} else if w.left == 0 {
		return 0, w.close()
	}
	size := w.frame()
	raw := w.raw[:min(w.left, int64(size*len(to[0])), int64(len(w.raw)))]
	start := w.at
	if w.stream {
		n, err := io.ReadFull(w.r, raw)
		raw = raw[:n-n%size] // a pipe may end anywhere
		if len(raw) == 0 || err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
			return 0, w.ended(err)
		}
		w.at += int64(n)
	} else if err := w.fill(raw, "the sound"); err != nil {
		return 0, err
	}
	w.left -= int64(len(raw))
	n, step := len(raw)/size, w.bits/8
	for i := range n {
		for c := range to {
			at := i*size + c*step
			v := w.decode(raw[at:])
			if !(math.Abs(v) <= loudest) {
				return 0, fmt.Errorf("byte %d: %g is no sample; record again", start+int64(at), v)
			}
			to[c][i] = v
		}
	}
	return n, nil
}

// ended is the end of a stream: nothing more, or what went wrong.
func (w *wave) ended(err error) error {
	if err == nil || err == io.EOF || err == io.ErrUnexpectedEOF {
		return io.EOF
	}
	return fmt.Errorf("byte %d: %w", w.at, err)
}

// close reads what follows the sound, so that a file that was cut off there is found too.
func (w *wave) close() error {
	rest := w.end - w.at
	n, err := io.CopyN(io.Discard, w.r, max(rest, 0))
	w.at += n
	if err == io.EOF && rest-n <= slack {
		err = nil
	}
	if err := w.broken(err, "what follows the sound"); err != nil {
		return err
	}
	return io.EOF
}

// step is the least difference between two samples, nought for floats.
func (f format) step() float64 {
	if f.float {
		return 0
	}
	return math.Ldexp(1, 1-f.bits)
}

// decoder gives the function that turns the first bytes of a slice into a sample.
func (f format) decoder() func([]byte) float64 {
	le := binary.LittleEndian
	switch {
	case f.float && f.bits == 32:
		return func(b []byte) float64 { return float64(math.Float32frombits(le.Uint32(b))) }
	case f.float:
		return func(b []byte) float64 { return math.Float64frombits(le.Uint64(b)) }
	case f.bits == 8: // the only integers without a sign
		return func(b []byte) float64 { return (float64(b[0]) - 128) / (1 << 7) }
	case f.bits == 16:
		return func(b []byte) float64 { return float64(int16(le.Uint16(b))) / (1 << 15) }
	case f.bits == 24:
		return func(b []byte) float64 {
			return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
		}
	}
	return func(b []byte) float64 { return float64(int32(le.Uint32(b))) / (1 << 31) }
}
