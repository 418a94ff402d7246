package draw

// boxes are the box-drawing characters by their four arms, none, light or heavy: up counts 27, right 9, down 3, left 1.
const boxes = " ╴╸╷┐┑╻┒┓╶─╾┌┬┭┎┰┱╺╼━┍┮┯┏┲┳╵┘┙│┤┥╽┧┪└┴┵├┼┽┟╁╅┕┶┷┝┾┿┢╆╈╹┚┛╿┦┩┃┨┫┖┸┹┞╀╃┠╂╉┗┺┻┡╄╇┣╊╋"

// quadrants are the block characters by their four quarters: upper left counts 1, upper right 2, lower left 4, lower
// right 8.
const quadrants = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"

// pick is the n-th character of a list whose characters, but for the first, are three bytes long.
func pick(list string, n int) rune {
	if n == 0 {
		return ' '
	}
	b := list[1+3*(n-1):]
	return rune(b[0]&0x0f)<<12 | rune(b[1]&0x3f)<<6 | rune(b[2]&0x3f)
}

// The places of the arms.
const (
	armUp = iota
	armRight
	armDown
	armLeft
)

// arms are the lines that leave a cell's middle, two bits each.
type arms uint8

func (a arms) weight(side int) int { return int(a>>(2*side)) & 3 }

func (a arms) with(side, weight int) arms {
	return a&^(3<<(2*side)) | arms(max(weight, a.weight(side))<<(2*side))
}

// box is the character with these arms; round softens corners of light lines.
func (a arms) box() rune {
	switch n := 27*a.weight(armUp) + 9*a.weight(armRight) + 3*a.weight(armDown) + a.weight(armLeft); n {
	case 9 + 3:
		return '╭'
	case 3 + 1:
		return '╮'
	case 27 + 9:
		return '╰'
	case 27 + 1:
		return '╯'
	default:
		return pick(boxes, n)
	}
}

// Light arms that run straight through a cell.
const (
	levelArms   arms = 1<<(2*armLeft) | 1<<(2*armRight)
	uprightArms arms = 1<<(2*armUp) | 1<<(2*armDown)
)

// light are the same arms, each of them light.
func (a arms) light() arms { return (a | a>>1) & (levelArms | uprightArms) }

func (a arms) heavy() bool { return a != a.light() }
