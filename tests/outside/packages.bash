# To be read by the scripts here: `get PACKAGE...` installs Debian packages, from lists that are fetched anew where the
# ones there do not do. One script at a time, since apt lets nobody in beside itself.
get() {
  mkdir -p target
  (
    flock 9
    fetch() { apt-get install -y --no-install-recommends "$@" >/dev/null; }
    fetch "$@" || { apt-get update >/dev/null && fetch "$@"; }
  ) 9>target/packages.lock
}
