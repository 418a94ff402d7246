package bench

import "pullcard/tui/draw"

const (
	// cardWidth is the least room that the card needs beside the picture: a hole in figures three rows high.
	cardWidth = 35
	// leastCard is what it gets at worst, beside a picture that is as high as the screen.
	leastCard = 31
	// From a screen of so many columns and rows on no frame is without its picture.
	pictureFrom, pictureHigh = 80, 24
)

// pictureSize is the room for the picture beside the card, 0 where it does not fit there.
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

// tallPicture is the width of a picture that takes the whole height of the screen, with everything else beside it, because it
// does not fit below the top line; 0 where it does, or where no picture is shown. Of a bed that is too large even for that the
// part round the strand in hand is shown.
func (m Model) tallPicture(height int) int {
	if m.width < pictureFrom || m.height < pictureHigh || m.mode == helping || m.isFar() {
		return 0
	}
	if pw, _ := m.pictureSize(m.width, height-2); pw > 0 {
		return 0
	}
	least, _ := m.scene.draw.Size(m.view)
	return min(least, m.width-leastCard)
}
