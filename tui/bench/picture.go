package bench

import "pullcard/tui/draw"

// cardWidth is the least room that the card needs beside the picture: a hole in figures three rows high.
const cardWidth = 35

// pictureSize is the room for the picture, 0 where it does not fit beside the card.
func (m Model) pictureSize(width, height int) (w, h int) {
	least, rows := m.scene.draw.Size(m.view)
	if rows > height || least+cardWidth > width {
		return 0, 0
	}
	// A racket is about a third longer than wide and a cell twice as high as wide; more room than that stays empty.
	if width < 100 {
		return least, height
	}
	wide := height*17/10 + 8
	if m.view.Turn == draw.HeadLeft || m.view.Turn == draw.HeadRight {
		wide = height*3 + 8
	}
	return max(least, min(width/2, wide)), height
}
