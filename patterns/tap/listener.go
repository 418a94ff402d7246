package tap

import "slices"

// Times in seconds and ratios by which taps are found. They are choices, proved by the tests.
const (
	hopTime     = 0.005                      // the level is taken over this time
	attackTime  = 0.005                      // what the finger itself does, passed over
	quietTime   = 0.100                      // no two taps are closer
	ringTime    = 0.400                      // how long a ring is looked at
	holdTime    = frameTime + ringTime + 0.2 // what is held: before a tap, after it, and a block to come
	risePower   = 4.0                        // a tap is a rise of the power by this, against the hops before
	leastPower  = 1e-9                       // and is above -90 dB of full scale
	levelHops   = 8                          // hops whose mean a rise is measured against
	levelBehind = 1                          // hops between them and the tap, which an attack may reach into
)

// listener finds taps in the channels as they come and has each one looked at when its ring is over.
type listener struct {
	channels []*band
	rate     float64 // after the bands
	hop      int     // samples a hop
	powers   []ring  // the last hops' power, for each channel
	ear      *ear
	least    float64 // power that a tap has
	onset    int     // sample at which the tap in hand begins; below nought is none
	taps     []Tap
}

// newListener listens to a recording that is played so many times faster.
func newListener(f format, o Options, faster float64) *listener {
	step := f.step()
	l := &listener{onset: -1, least: max(leastPower, step*step)}
	for range f.channels {
		b, low := newBand(float64(f.rate)*faster, o, holdTime)
		l.channels, l.rate = append(l.channels, b), low
		l.powers = append(l.powers, newRing(levelHops+levelBehind+1))
	}
	l.hop = int(hopTime * l.rate)
	l.ear = newEar(l.rate, o)
	return l
}

// listen takes up what the channels have got since the last call. A block at the recording's rate is shorter than
// what the rings hold.
func (l *listener) listen() {
	for (l.powers[0].next+1)*l.hop <= l.channels[0].out.next {
		start := l.powers[0].next * l.hop
		sudden := false
		for c := range l.channels {
			sudden = l.rises(c, start) || sudden
		}
		switch old := l.onset; {
		case old >= 0 && start-old >= l.samples(ringTime):
			l.close(start)
			fallthrough
		case old < 0:
			if sudden {
				l.onset = start
			}
		case sudden && start-old >= l.samples(quietTime):
			l.close(start)
			l.onset = start
		}
	}
}

// rises notes the power of a channel's hop and says whether it is a tap's.
func (l *listener) rises(c, start int) bool {
	power := l.channels[c].power(start, start+l.hop)
	p := &l.powers[c]
	p.add(power)
	level := 0.0
	for i := range levelHops {
		if at := p.next - 2 - levelBehind - i; at >= 0 {
			level += p.at(at) / levelHops
		}
	}
	return power > l.least && power > risePower*level
}

// close looks at the tap in hand, whose ring ends before sample end, in each channel.
func (l *listener) close(end int) {
	end = min(end, l.onset+l.samples(ringTime))
	start := min(end, l.onset+l.samples(attackTime))
	before := l.ear.before[:min(l.onset, len(l.ear.before))]
	tap := Tap{Seconds: float64(l.onset) / l.rate}
	for _, b := range l.channels {
		tap.power = max(tap.power, b.power(start, end))
		from := b.clean(start, end)
		tap.Clipped = tap.Clipped || from > start
		past := b.out.copy(before, l.onset-len(before))
		tones := l.ear.tones(b.out.copy(l.ear.sound[:end-from], from), past, false)
		if from > start && !slices.ContainsFunc(tones, func(t tone) bool { return t.steady }) { // what is clipped keeps its strongest tones; nothing weak beside them is true
			tones = strong(l.ear.tones(b.out.copy(l.ear.sound[:end-start], start), past, true))
		}
		for _, t := range tones {
			tap.join(t)
		}
	}
	if len(l.taps) < MaxTaps {
		l.taps = append(l.taps, tap)
	}
	l.onset = -1
}

// clippedPart is what of the loudest tone of a clipped sound a tone has at least: clipping makes tones of its own that are
// weaker, a third of the loudest at most. By Fourier's series of a square wave.
const clippedPart = 0.5

func strong(tones []tone) []tone {
	loudest := 0.0
	for _, t := range tones {
		loudest = max(loudest, t.level)
	}
	return slices.DeleteFunc(tones, func(t tone) bool { return t.level < clippedPart*loudest })
}

// join takes a channel's tone: a new one, or a surer course of one that another channel has.
func (t *Tap) join(n tone) {
	for i, old := range t.tones {
		if near(n.hz, old.hz) {
			if n.steady && !old.steady || n.steady == old.steady && n.bound < old.bound {
				n.level = max(n.level, old.level)
				t.tones[i] = n
			}
			return
		}
	}
	t.tones = append(t.tones, n)
}

// finish looks at a tap that the recording's end cuts off, and gives all taps.
func (l *listener) finish() []Tap {
	if l.onset >= 0 {
		l.close(l.channels[0].out.next)
	}
	return l.taps
}

func (l *listener) samples(seconds float64) int { return int(seconds * l.rate) }
