package lookback

var InsideEnough = insideEnough
