package bench

import tea "github.com/charmbracelet/bubbletea"

// said has the voice say what hands do now, where a house wants one: warnings first, then the acts in short words. What it was
// saying before ends.
func (m *Model) said() tea.Cmd {
	m.texts++
	return m.saying(m.texts + 1) // the first text is that of the start
}

// saying says it as text number n, so that of two that are on their way the newer is said.
func (m Model) saying(n int) tea.Cmd {
	if m.set.Say == nil || m.finished() || m.mode != working {
		return nil
	}
	say, text := m.set.Say, m.set.Spoken.Say(m.scene.face.acts)
	if m.again() {
		text = m.set.Spoken.SayAgain(m.scene.face.acts)
	}
	return func() tea.Msg {
		say(n, text)
		return nil
	}
}
