package shed

import "strings"

// Breeds are offered where a breed is typed, and any other is taken too. From memory, common names.
func Breeds() []string {
	return strings.Split(""+
		"Babydoll Southdown,Black Welsh Mountain,Blackface,Bluefaced Leicester,Bond,Border Leicester,"+
		"California Red,California Variegated Mutant,Cheviot,Clun Forest,Columbia,Coopworth,Cormo,Corriedale,"+
		"Cotswold,Debouillet,Delaine Merino,Devon and Cornwall Longwool,Dorset Down,Dorset Horn,Finnsheep,"+
		"Gotland,Gulf Coast Native,Hampshire,Hebridean,Herdwick,Icelandic,Jacob,Karakul,Kerry Hill,"+
		"Leicester Longwool,Lincoln Longwool,Lleyn,Manx Loaghtan,Masham,Merino,Montadale,Navajo-Churro,"+
		"Norfolk Horn,North Ronaldsay,Oxford,Perendale,Polwarth,Polypay,Portland,Rambouillet,Romanov,"+
		"Romeldale CVM,Romney,Rough Fell,Ryeland,Santa Cruz,Scottish Blackface,Shetland,Shropshire,Soay,"+
		"South Devon,Southdown,Spaelsau,Suffolk,Swaledale,Targhee,Teeswater,Texel,Tunis,Welsh Mountain,"+
		"Wensleydale,Whitefaced Woodland,Wiltshire Horn,Zwartbles", ",")
}
