"""Finding a part by what was typed or scanned: read, asked for by keys, judged and put in order."""
