module bench.invalid/background

go 1.26

require github.com/charmbracelet/lipgloss v1.1.0
