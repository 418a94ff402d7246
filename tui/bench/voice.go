package bench

import (
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"pullcard/sequence/progress"
)

// heard is what of the bench a voice tells: what it tells is said when it becomes another.
type heard struct {
	mode                    mode
	look, events, asked, at int
	why                     int
	failed, typed, notice   string
}

func (m Model) hears() heard {
	h := heard{mode: m.mode, look: m.look, events: len(m.past.Events), asked: len(m.asked), why: len(m.why), failed: m.write.failed}
	if m.mode == choosing {
		q := &m.asked[len(m.asked)-1]
		h.at, h.typed = q.at, q.typed
	}
	h.notice = m.notice.Text
	return h
}

// since has the voice say what became of the bench; of a question of which another answer is marked that answer.
func (m *Model) since(before heard) tea.Cmd {
	now := m.hears()
	same := now
	same.at, same.typed, same.notice = before.at, before.typed, before.notice
	switch {
	case m.set.Say == nil || now == before || m.write.pending: // what comes of it is said when it has come
		return nil
	case same == before && now.notice != "" && now.notice != before.notice:
		m.texts++
		return m.voice(m.texts+1, m.set.Spoken.Text(now.notice))
	case same == before && m.mode == choosing && (now.at != before.at || now.typed != ""):
		m.texts++
		q := m.asked[len(m.asked)-1]
		if q.at == none {
			return m.voice(m.texts+1, m.set.Spoken.Bench("nought", ""))
		}
		text := m.answerSaid(q, q.at)
		if now.typed != "" { // it waits
			text += "; " + m.set.Spoken.Bench("typed", "")
		}
		return m.voice(m.texts+1, text)
	case same == before:
		return nil
	}
	return m.said()
}

// said has the voice say what the screen asks for now, and end what it was saying.
func (m *Model) said() tea.Cmd {
	m.texts++
	return m.saying(m.texts + 1) // the first text is that of the start
}

// saying says it as text number n, so that of two that are on their way the newer is said.
func (m Model) saying(n int) tea.Cmd {
	if m.set.Say == nil {
		return nil
	}
	return m.voice(n, m.speech())
}

func (m Model) voice(n int, text string) tea.Cmd {
	say := m.set.Say
	return func() tea.Msg {
		say(n, text)
		return nil
	}
}

// speech is what a voice says of the screen: warnings first, then what to do in short words, then the keys where they are new.
func (m Model) speech() string {
	t := m.set.Spoken
	say := func(parts ...string) string {
		var out []string
		for _, p := range parts {
			if p != "" {
				out = append(out, p)
			}
		}
		return strings.ReplaceAll(strings.Join(out, "; "), "?; ", "? ")
	}
	switch {
	case m.write.failed != "":
		return t.Text(m.write.failed)
	case m.mode == resuming:
		return m.resumeSaid(say)
	case m.mode == choosing:
		return say(m.chosen, m.questionSaid(say))
	case m.mode == asking || m.mode == deciding || m.mode == noting:
		return t.Bench("words", m.writeTitle())
	case m.mode == helping:
		return t.Bench("keys", "")
	case m.finished():
		return m.endSaid(say)
	}
	return say(m.chosen, m.whySaid(), m.stepSaid(say))
}

func (m Model) whySaid() string {
	if len(m.why) == 0 {
		return ""
	}
	return m.set.Spoken.Bench("why", m.whyTitle())
}

// stepSaid is the step on the screen.
func (m Model) stepSaid(say func(...string) string) string {
	t, s := m.set.Spoken, m.step()
	var first, last []string
	if m.look > 0 {
		first = append(first, t.Bench("looking", ""))
	}
	if n := len(m.past.Events); n > 0 && m.look == 0 && m.past.Events[n-1].Kind == progress.Back {
		key := "back"
		if m.anew {
			key = "anew"
		}
		first = append(first, t.Bench(key, ""))
	}
	if m.view.Mirror {
		first = append(first, t.Bench("other-side", ""))
	}
	if n := s.N; n > 1 && m.look == 0 && s.Base == 0 && m.state.Plan().Steps[n-2].Record { // the first of its way back
		first = append(first, t.Bench("way-back", m.scene.wrong), t.Text(m.slackText(3)))
	}
	if s.N == 1 {
		last = append(last, t.Bench("keys", ""))
		for _, text := range m.job.Warnings {
			first = append(first, t.Text(text))
		}
	}
	for _, text := range m.foreseen.before(m.state.Plan(), s.N) {
		first = append(first, t.Text(text))
	}
	text := t.Say(m.scene.face.acts)
	if m.again() {
		text = say(t.Text(m.failed()), t.SayAgain(m.scene.face.acts))
	}
	return say(say(first...), text, say(last...))
}

func (m Model) resumeSaid(say func(...string) string) string {
	t := m.set.Spoken
	was := t.Bench("nothing", "")
	if last := m.state.Last(); last > 0 {
		was = t.Bench("left", m.state.Plan().Steps[last-1].Title)
	}
	return say(was, t.Bench("stand", strings.Join(t.Stand(m.scene.racket.Grip), "; ")), t.Bench("resume", ""))
}

// questionSaid is the question and its answers, of many the first few.
func (m Model) questionSaid(say func(...string) string) string {
	const few = 12
	t, q := m.set.Spoken, m.asked[len(m.asked)-1]
	parts := []string{t.Text(q.Ask), t.Text(q.Hint)}
	if len(q.Answers) > few/2 {
		parts = append(parts, t.Bench("long", ""))
	}
	for i := range q.Answers[:min(few, len(q.Answers))] { // what cannot be is not said
		parts = append(parts, m.answerSaid(q, i))
	}
	if rest := len(q.Answers) - few; rest > 0 {
		parts = append(parts, t.Bench("more", strconv.Itoa(rest)))
	}
	if q.at == none {
		return say(append(parts, t.Bench("felt", ""))...)
	}
	return say(append(parts, t.Bench("answers", strconv.Itoa(q.Number(q.at))))...)
}

// answerSaid is an answer with its number.
func (m Model) answerSaid(q asked, i int) string {
	return m.set.Spoken.Text(strconv.Itoa(q.Number(i))) + ": " + m.set.Spoken.Text(q.Answers[i].Say)
}

func (m Model) endSaid(say func(...string) string) string {
	t := m.set.Spoken
	if m.state.Status() == progress.Abandoned {
		return say(t.Bench("closed", ""), t.Bench("leave", ""))
	}
	differed := t.Bench("planned", "")
	if list := m.differed(5); len(list) > 0 {
		differed = t.Bench("differed", strings.Join(list, "; "))
	}
	return say(m.whySaid(), t.Bench("strung", ""), differed, t.Text(lower(strings.TrimSuffix(tellPlayer, "."))), t.Bench("leave", ""))
}
