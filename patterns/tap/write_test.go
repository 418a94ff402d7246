package tap

import (
	"bytes"
	"encoding/binary"
	"math"
)

// style is how a test recording is stored.
type style struct {
	name       string
	bits       int
	float      bool
	extensible bool
}

func styles() []style {
	return []style{
		{"8 bits", 8, false, false}, {"16 bits", 16, false, false}, {"24 bits", 24, false, false}, {"32 bits", 32, false, false},
		{"float 32", 32, true, false}, {"float 64", 64, true, false},
		{"16 bits extensible", 16, false, true}, {"24 bits extensible", 24, false, true}, {"float 32 extensible", 32, true, true},
	}
}

// store writes a WAV file of channels with full scale ±1; louder samples are clipped, floats are not.
func store(s style, rate int, channels ...[]float64) []byte {
	var data bytes.Buffer
	for i := range channels[0] {
		for _, c := range channels {
			data.Write(sample(s, c[i]))
		}
	}
	return contain(s, rate, len(channels), data.Bytes())
}

// contain writes the header round the bytes of the sound.
func contain(s style, rate, channels int, data []byte) []byte {
	align := s.bits / 8 * channels
	tag := tagPCM
	if s.float {
		tag = tagFloat
	}
	fields := []any{uint16(tag), uint16(channels), uint32(rate), uint32(rate * align), uint16(align), uint16(s.bits)}
	if s.extensible {
		fields[0] = uint16(tagExtensible)
		fields = append(fields, uint16(22), uint16(s.bits), uint32(0), uint16(tag), []byte(guidTail))
	}
	var format bytes.Buffer
	for _, f := range fields {
		_ = binary.Write(&format, binary.LittleEndian, f)
	}
	return riff(chunk("fmt ", format.Bytes()), chunk("data", data))
}

func riff(chunks ...[]byte) []byte {
	body := append([]byte("WAVE"), bytes.Join(chunks, nil)...)
	return chunk("RIFF", body)
}

func chunk(id string, body []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body)))
	b = append(b, body...)
	if len(body)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

// sample stores one sample.
func sample(s style, v float64) []byte {
	if s.float && s.bits == 32 {
		return binary.LittleEndian.AppendUint32(nil, math.Float32bits(float32(v)))
	} else if s.float {
		return binary.LittleEndian.AppendUint64(nil, math.Float64bits(v))
	}
	full := math.Ldexp(1, s.bits-1)
	n := int64(max(-full, min(full-1, math.Round(v*full))))
	if s.bits == 8 {
		n += 128
	}
	return binary.LittleEndian.AppendUint64(nil, uint64(n))[:s.bits/8]
}
