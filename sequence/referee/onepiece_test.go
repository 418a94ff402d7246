package referee

// The long side L goes on into the crosses. The mains loop at the throat, so that they end at the head.
const onePiece = `
# mains
thread M1L 1TL 1HL
thread M1R 1TR 1HR after M1L
clamp A M1L 1TL
clamp S M1L 1TL
pull M1R 1HR
clamp B M1R 1HR
release
note leave scraps in 3TL, 3TR and 3HR
# mains
pull M1L 1HL
unclamp S
unclamp A
clamp A M1L 1HL
release
# mains
thread M2R 2HR 2TR after M1R
pull M2R 2TR
unclamp B
clamp B M2R 2TR
release
# mains
thread M2L 2HL 2TL after M1L
pull M2L 2TL
unclamp A
clamp A M2L 2TL
release
# mains
thread M3R 4TR 4HR after M2R covers 3TR
pull M3R 4HR boost
unclamp B
clamp B M3R 4HR
release
# mains
thread M3L 4TL 4HL after M2L covers 3TL
pull M3L 4HL
unclamp A
clamp A M3L 4HL
release
# mains
tie M3R 4HR 2HR M2R covers 3HR
unclamp B
trim 2HR
# crosses
weave C1 3HL 3HR over 4 after M3L blocked 3HR
ahead: weave C2 5HR 5HL under 6 after C1
pull C1 3HR
straighten C1
clamp B C1 3HR
release
unclamp A
` + laterCrosses

// The long side R strings all its mains, crosses C5 to the short side, goes up M3L and over to C1.
const around = `
# mains
thread M1L 1HL 1TL
thread M1R 1HR 1TR after M1L
clamp A M1L 1HL
clamp S M1L 1HL
pull M1R 1TR
clamp B M1R 1TR
release
note leave a scrap in 3HR
# mains
pull M1L 1TL
unclamp S
unclamp A
clamp A M1L 1TL
release
# mains
thread M2R 2TR 2HR after M1R
pull M2R 2HR
unclamp B
clamp B M2R 2HR
release
# mains
thread M2L 2TL 2HL after M1L
pull M2L 2HL boost
unclamp A
clamp A M2L 2HL
release
# mains
tie M2L 2HL 1HL M1L
unclamp A
trim 1HL
# mains
thread M3R 4HR 4TR after M2R covers 3HR
pull M3R 4TR
unclamp B
clamp B M3R 4TR
release
# mains
weave C5 3TR 3TL under 4 after M3R
pull C5 3TL
straighten C5
clamp A C5 3TL
release
unclamp B
# mains
thread M3L 4TL 4HL after C5
pull M3L 4HL
unclamp A
clamp A M3L 4HL
release
# crosses
weave C1 3HL 3HR over 4 after M3L blocked 3HR
ahead: weave C2 5HR 5HL under 6 after C1
pull C1 3HR
straighten C1
clamp B C1 3HR
release
unclamp A
# crosses
ahead: weave C3 6HL 6HR under 6 after C2
later: weave C2 5HR 5HL under 6 after C1
pull C2 5HL
clamp A C2 5HL
release
unclamp B
# crosses
ahead: weave C4 5TR 5TL under 6 after C3
later: weave C3 6HL 6HR under 6 after C2
pull C3 6HR
clamp B C3 6HR
release
unclamp A
# crosses
later: weave C4 5TR 5TL under 6 after C3
pull C4 5TL boost
clamp A C4 5TL
release
unclamp B
# crosses
tie C4 5TL 4TL M3L
unclamp A
trim 4TL
`
