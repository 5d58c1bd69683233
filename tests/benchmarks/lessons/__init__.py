"""Random lessons of several parts: does each reversal go to its procedure, and is nothing else judged?"""
