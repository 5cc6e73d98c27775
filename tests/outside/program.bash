# To be read by the scripts here: $vestibule is the program, built unless VESTIBULE names one.
vestibule=${VESTIBULE:-}
if [ -z "$vestibule" ]; then
  cargo build --release --quiet
  vestibule=target/release/vestibule
fi
