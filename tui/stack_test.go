package tui

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"

	"pullcard/tui/screen"
)

// A screen leaves once however often it says so, and leads nowhere once another one is up.
func TestOnlyTheScreenThatIsUpLeads(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("c").shows("all readings")
		top := r.m.(Model).up().id
		r.send(sentMsg{top, screen.LeaveMsg{}}).shows("which racket").send(sentMsg{top, screen.LeaveMsg{}}).shows("which racket")
		assert.False(t, r.quit)
		r.send(sentMsg{top, screen.OpenMsg{Open: func() (screen.Screen, error) { panic("nobody is there to ask") }}}).shows("which racket")
	})
	inBubble(t, func(t *testing.T) { // numbers that come when the bench was left are not shown
		r := newRig(t, newShop(c)).press("enter", "space")
		r.shop.slow = map[string]time.Duration{"numbers": time.Second}
		r.press("b", "q").shows("which racket").sleep(2 * time.Second).shows("which racket")
	})
}

// What a screen has to say is said there and not below it.
func TestNoticesStayOnTheirScreen(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("b").shows("[players]")
		top := r.m.(Model).up().id
		r.run(by(top, func() tea.Msg { return screen.Wrong("nothing prints yet") }))
		r.shows("nothing prints yet").press("esc").shows("which racket").hides("nothing prints yet")
		r.run(by(top, func() tea.Msg { return screen.Wrong("nothing prints yet") }))
		r.hides("nothing prints yet")
	})
}

// A screen gets the theme and the size that came while it was made, and the one below those that came while it was covered.
func TestScreensBelowKeepUp(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("enter", "space", "b").shows("NUMBERS").size(120, 40).press("q").shows("2/64")
		exact(t, r.m.View(), 120, 40)
		r.m.Update(tea.WindowSizeMsg{Width: 20, Height: 5}) // what is not kept changes nothing
		exact(t, r.m.View(), 120, 40)
	})
}

// The book is found again as it was left.
func TestBookStays(t *testing.T) {
	c := newCupboard(t)
	inBubble(t, func(t *testing.T) {
		r := newRig(t, newShop(c)).press("b", "right").shows("[rackets]").press("esc").shows("which racket")
		r.press("b").shows("[rackets]")
	})
}
