"""What water is: its state at jetting pressures, a fact of nature that knows no machine."""
