"""Invented shops worked for months by people of their own mind → how often the dates given to them held."""
