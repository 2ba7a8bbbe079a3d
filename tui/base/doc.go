// Package base is what all screens share: what is so at a moment (Env), how one screen leads
// to another, how the record is read away from the screen, the frame and the lists they draw.
package base
