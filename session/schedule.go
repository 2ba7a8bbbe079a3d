package session
