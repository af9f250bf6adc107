"""What a customer wants becomes a quote: reckoned, kept for ever, put out, taken as a job or turned down."""
