package tap

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"testing/iotest"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pullcard/patterns/sweep"
)

// samples decodes a whole file.
func samples(t *testing.T, r io.Reader) (format, [][]float64) {
	w, err := openWave(r, false)
	require.NoError(t, err)
	out, block := make([][]float64, w.channels), make([][]float64, w.channels)
	for c := range block {
		block[c] = make([]float64, blockFrames)
	}
	for {
		n, err := w.next(block)
		if err == io.EOF {
			return w.format, out
		}
		require.NoError(t, err)
		for c := range block {
			out[c] = append(out[c], block[c][:n]...)
		}
	}
}

func TestSamplesComeBackAsTheyWereStored(t *testing.T) {
	left, right := make([]float64, 3001), make([]float64, 3001)
	for i := range left {
		left[i], right[i] = math.Sin(float64(i)), -0.25*math.Cos(float64(i)/3)
	}
	left[0], left[1], left[2] = -1, 0, 1
	for _, s := range styles() {
		t.Run(s.name, func(t *testing.T) {
			step := max(format{float: s.float, bits: s.bits}.step(), 1e-7)
			f, got := samples(t, bytes.NewReader(store(s, 22050, left, right)))
			assert.Equal(t, format{float: s.float, bits: s.bits, channels: 2, rate: 22050}, f)
			assert.InDeltaSlice(t, left, got[0], step)
			assert.InDeltaSlice(t, right, got[1], step/2)
			_, got = samples(t, iotest.OneByteReader(bytes.NewReader(store(s, 22050, right))))
			assert.InDeltaSlice(t, right, got[0], step/2)
		})
	}
}

// TestSamplesOfAnotherWriter reads what a library has written, which shares no code with the reader.
func TestSamplesOfAnotherWriter(t *testing.T) {
	for _, bits := range []int{8, 16, 24, 32} {
		f, err := os.Create(filepath.Join(t.TempDir(), "other.wav"))
		require.NoError(t, err)
		full := 1 << (bits - 1)
		values := []int{0, 1, -1, full / 3, -full / 5, full - 1, -full}
		stored := append([]int(nil), values...)
		if bits == 8 { // which the library takes without a sign
			for i := range stored {
				stored[i] += 128
			}
		}
		e := wav.NewEncoder(f, 32000, bits, 1, 1)
		buffer := &audio.IntBuffer{Format: &audio.Format{NumChannels: 1, SampleRate: 32000}, Data: stored, SourceBitDepth: bits}
		require.NoError(t, e.Write(buffer))
		require.NoError(t, e.Close())
		_, err = f.Seek(0, io.SeekStart)
		require.NoError(t, err)
		_, got := samples(t, f)
		require.NoError(t, f.Close())
		require.Len(t, got[0], len(values))
		for i, v := range values {
			assert.Equal(t, float64(v)/float64(full), got[0][i], "%d bits", bits)
		}
	}
}

// wrong are headers with one thing changed, and part of what the error says.
func wrong() map[string]struct {
	file []byte
	says string
} {
	good := func() []byte { return store(style{bits: 16}, 8000, make([]float64, 1000), make([]float64, 1000)) }
	with := func(at int, b ...byte) []byte { return append(append(good()[:at:at], b...), good()[at+len(b):]...) }
	format := chunk("fmt ", good()[20:36])
	float := contain(style{bits: 32, float: true}, 8000, 1, bytes.Repeat([]byte{0, 0, 0xC0, 0x7F}, 9))
	guid := store(style{bits: 16, extensible: true}, 8000, make([]float64, 10))
	guid[50] ^= 1
	return map[string]struct {
		file []byte
		says string
	}{
		"nothing":            {nil, "byte 0: the file ends within the header"},
		"no WAV":             {[]byte("OggS, and then more than a header"), "byte 0: this is no WAV file, it begins with \"OggS\""},
		"no WAVE":            {with(8, 'A'), "byte 0"},
		"header only":        {good()[:12], "byte 12"},
		"no sound":           {riff(format), "byte 36: the file ends within the header, before any sound"},
		"no format":          {riff(chunk("data", make([]byte, 8))), "byte 20: the sound comes before its format"},
		"empty sound":        {riff(format, chunk("data", nil)), "byte 44: the recording is empty"},
		"short format":       {riff(chunk("fmt ", make([]byte, 14)), chunk("data", make([]byte, 8))), "byte 20: the format takes 14 bytes"},
		"no channels":        {with(22, 0), "0 channels"},
		"three channels":     {with(22, 3), "mono or stereo"},
		"no rate":            {with(24, 0, 0), "a rate of 0 Hz"},
		"low rate":           {with(24, 0xA0, 0x0F), "a rate of 4000 Hz"},
		"high rate":          {with(24, 0, 0, 0, 0xFF), "8000 to 192000 Hz"},
		"another rate":       {with(24, 0x11, 0x2B), "bytes a second, 11025 Hz make 44100"},
		"odd frames":         {with(32, 3), "the header gives 3 bytes a frame, 2 channels of 16 bits make 4"},
		"no frames":          {with(32, 0), "0 bytes a frame"},
		"12 bits":            {with(34, 12), "samples of 12 bits"},
		"no bits":            {with(34, 0), "samples of 0 bits"},
		"compressed":         {with(20, 0x11), "format 0x0011"},
		"float of 16 bits":   {with(20, 3), "samples of 16 bits"},
		"unknown subformat":  {guid, "save the recording as 16-bit WAV"},
		"half a frame":       {with(40, 0x9E), "no whole number of frames"},
		"more sound":         {with(40, 0xA4, 0x1F), "the sound would end at byte"},
		"endless sound":      {with(40, 0xFC, 0xFF, 0xFF, 0xFF), "through a pipe"},
		"endless everything": {append([]byte("RIFF\xFF\xFF\xFF\xFFWAVE"), with(40, 0xD4, 0xFF, 0xFF, 0xFF)[12:]...), "byte 4044: the file ends within the sound"},
		"longer by header":   {with(5, 0xFF), "byte 4044: the file ends within what follows the sound"},
		"endless chunk":      {append(good()[:12], "LIST\xFF\xFF\xFF\xFFmore"...), "byte 24: the file ends within chunk \"LIST\""},
		"endless format":     {append(good()[:12], append([]byte("fmt \xFF\xFF\xFF\xFF"), good()[20:]...)...), "the file ends within chunk \"fmt \""},
		"not a number":       {float, "NaN is no sample"},
	}
}

func TestBrokenFilesAreErrors(t *testing.T) {
	for name, c := range wrong() {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			r, err := Read(bytes.NewReader(c.file), Options{})
			runtime.ReadMemStats(&after)
			require.ErrorContains(t, err, c.says)
			assert.Regexp(t, `byte \d+: .*; .*`, err.Error())
			assert.NotErrorIs(t, err, io.EOF)
			assert.Equal(t, Result{}, r)
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20))
		})
	}
}

func TestEveryCutFileIsAnError(t *testing.T) {
	for _, s := range styles() {
		file := append(store(s, 8000, make([]float64, 21)), chunk("LIST", make([]byte, 30))...)
		binary.LittleEndian.PutUint32(file[4:], uint32(len(file)-8))
		_, err := Read(bytes.NewReader(file), Options{})
		require.NoError(t, err)
		for n := range len(file) - slack {
			if !sweep.Take(n, 7) {
				continue
			}
			_, err := Read(bytes.NewReader(file[:n]), Options{})
			assert.Error(t, err, "%s cut to %d of %d bytes", s.name, n, len(file))
		}
	}
}

func TestOtherChunksArePassedOver(t *testing.T) {
	file := store(style{bits: 16}, 16000, tapped(plainBed(600, 0.06), 16000, 1, 1))
	notes := append(chunk("LIST", make([]byte, 31)), chunk("bext", make([]byte, 70000))...)
	whole := append(append(append([]byte(nil), file[:12]...), notes...), file[12:]...)
	whole = append(whole, notes...)
	binary.LittleEndian.PutUint32(whole[4:], uint32(len(whole)-8))
	assert.Equal(t, read(t, file), read(t, whole))
}

func TestErrorsOfTheReaderAreKept(t *testing.T) {
	file := store(style{bits: 16}, 8000, make([]float64, 9000))
	broken := errors.New("the card was pulled out")
	for _, n := range []int64{5, 30, 9000} {
		_, err := Read(io.MultiReader(io.LimitReader(bytes.NewReader(file), n), iotest.ErrReader(broken)), Options{})
		assert.ErrorIs(t, err, broken)
	}
}

// TestMemoryDoesNotGrow reads a short recording and one thirty times as long.
func TestMemoryDoesNotGrow(t *testing.T) {
	took := func(seconds int) uint64 {
		size := seconds * 8000 * 2
		head := contain(style{bits: 16}, 8000, 1, nil)
		binary.LittleEndian.PutUint32(head[4:], uint32(36+size))
		binary.LittleEndian.PutUint32(head[40:], uint32(size))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Read(io.MultiReader(bytes.NewReader(head), io.LimitReader(rustle{}, int64(size))), Options{})
		require.NoError(t, err)
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	took(1)
	assert.InDelta(t, took(20), took(600), 200e3)
}

// rustle is an endless sound.
type rustle struct{}

func (rustle) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(i * i >> 3)
	}
	return len(p), nil
}

func FuzzRead(f *testing.F) {
	for _, c := range wrong() {
		f.Add(c.file)
	}
	for _, s := range styles() {
		f.Add(store(s, 8000, tapped(plainBed(600, 0.05), 8000, 1, 1)[:4000]))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		r, err := Read(bytes.NewReader(file), Options{})
		switch {
		case err != nil:
			assert.Equal(t, Result{}, r)
		case r.Clear:
			assert.InDelta(t, (DefaultLowHz+DefaultHighHz)/2, r.Hz, (DefaultHighHz-DefaultLowHz)/2+3)
			assert.True(t, r.PlusMinusHz > 0 && r.PlusMinusHz < r.Hz && r.Taps > 0)
		default:
			assert.True(t, r.Hz == 0 && r.PlusMinusHz == 0 && r.Taps == 0 && r.Why != "")
		}
	})
}
