// Package tuitest has invented days and stand-ins for the store to test screens with.
package tuitest
