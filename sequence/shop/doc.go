// Package shop is what a shop does, for commands and screens alike: it proves plans and mends them after a mishap.
//
// Start with Prove and Mend.
package shop
