package draw

// Beside is how many columns a picture has beside a form that takes so many at least, in so many rows; nought where it does not fit.
func (s Scene) Beside(v View, width, height, form int) int {
	least, rows := s.Size(v)
	if rows > height || least+form > width {
		return 0
	}
	// A racket is about a third longer than wide and a cell twice as high as wide; more room than that stays empty.
	wide := height*17/10 + 8
	if v.level() {
		wide = height*3 + 8
	}
	return max(least, min(width/2, wide, width-form-10))
}

// Laid is the view in which the whole picture fits, the racket laid level where it does not fit as it stands.
func (s Scene) Laid(v View, width, height int) View {
	if level := (View{Turn: HeadLeft}); !s.Fits(width, height, v) && s.Fits(width, height, level) {
		return level
	}
	return v
}
