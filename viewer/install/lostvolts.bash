# Completion of lostvolts' words in bash. The program itself knows what may come next: --complete.
_lostvolts() {
    local cur prev words cword split
    _init_completion -n : || return

    # What is typed of the word, without the quote or the backslashes that the shell wants.
    local typed=$cur quote=
    case $cur in
        [\"\']*) quote=${cur:0:1} typed=${cur:1} ;;
        *) typed=${cur//\\/} ;;
    esac
    local before=() word
    for word in "${words[@]:1:cword-1}"; do
        word=${word#[\"\']} word=${word%[\"\']}
        before+=("${word//\\/}")
    done

    local lines
    mapfile -t lines < <("${words[0]}" --complete "${before[@]}" "$typed" 2>/dev/null)
    case ${lines[0]-} in
        files*)
            _filedir ${lines[0]#files}
            return
            ;;
        folders)
            _filedir -d
            return
            ;;
    esac
    COMPREPLY=()
    for word in "${lines[@]:1}"; do
        [[ -n $quote ]] || printf -v word %q "$word"
        COMPREPLY+=("$word")
    done
    [[ -n $quote ]] || __ltrim_colon_completions "$cur"
} && complete -F _lostvolts lostvolts
