# Prints each line "package|expression" whose licence expression is not satisfied by permissive
# licences. Every part of an AND needs one permitted alternative of its ORs; brackets are dropped, which
# can only refuse too much.
BEGIN {
    permissive = "MIT|MIT-0|Apache-2.0|Apache-2.0 WITH LLVM-exception|BSD-2-Clause|BSD-3-Clause|ISC|Zlib|0BSD|Unlicense|CC0-1.0|Unicode-3.0|IJG"
    n = split(permissive, names, "|")
    for (i = 1; i <= n; i++) ok[names[i]] = 1
}
{
    expression = $2
    gsub(/[()]/, "", expression)
    gsub(/ *\/ */, " OR ", expression)
    parts = split(expression, part, " AND ")
    good = parts > 0
    for (i = 1; i <= parts; i++) {
        any = 0
        choices = split(part[i], choice, " OR ")
        for (j = 1; j <= choices; j++) any = any || (choice[j] in ok)
        good = good && any
    }
    if (!good) print
}
